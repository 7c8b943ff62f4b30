#include "faulty.h"

static const dw_parameter parameters[] = {{"Share of it", "its name holds blanks", 0, 1, 0}};
FAULTY_PLUGIN_WITH("unnamed-parameter", nothing, parameters, 1)

#include "faulty.h"

static const dw_parameter parameters[] = {{"share", "a share", 0, 1, 0}, {"share", "the same", 0, 1, 0}};
FAULTY_PLUGIN_WITH("same-parameter", nothing, parameters, 2)

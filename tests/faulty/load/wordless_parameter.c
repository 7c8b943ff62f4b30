#include "faulty.h"

static const dw_parameter parameters[] = {{"share", NULL, 0, 1, 0}};
FAULTY_PLUGIN_WITH("wordless-parameter", nothing, parameters, 1)

#include "faulty.h"

static const dw_parameter parameters[] = {{"share", "a share", 0, 1, 0}};
FAULTY_PLUGIN_WITH("many-parameters", nothing, parameters, DW_PLUGIN_PARAMETERS_MAX + 1)

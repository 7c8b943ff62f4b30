#include "faulty.h"

static const dw_parameter parameters[] = {{"sound", "sound", 0, 2, 1},
                                          {"usual-outside", "its usual is outside its range", 0, 1, 2}};
FAULTY_PLUGIN_WITH("odd-parameter", nothing, parameters, 2)

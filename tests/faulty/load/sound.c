#include "faulty.h"

/* Nothing wrong with it: the one that must pass. */
FAULTY_PLUGIN("sound", nothing)

#include "faulty.h"

FAULTY_PLUGIN("sound", nothing)

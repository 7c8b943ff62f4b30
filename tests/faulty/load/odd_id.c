#include "faulty.h"

FAULTY_PLUGIN("../../etc/Odd", nothing)

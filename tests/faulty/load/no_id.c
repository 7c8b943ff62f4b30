#include "faulty.h"

FAULTY_PLUGIN(NULL, nothing)

#include "faulty.h"

FAULTY_PLUGIN("no-advise", NULL)

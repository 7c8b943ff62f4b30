#include "faulty.h"

FAULTY_PLUGIN("an-id-that-goes-on-and-on-and-on-and-on-far-beyond-its-room", nothing)

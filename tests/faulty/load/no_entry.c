#include "faulty.h"

DW_EXPORT int32_t some_other_function(void);

int32_t some_other_function(void) {
  return nothing(NULL, NULL, NULL);
}

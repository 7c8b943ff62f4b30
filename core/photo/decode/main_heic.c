/* dropwise-decode-heic: as dropwise-decode, for HEIC; apart, for its libraries are large and take long to
 * load. */
#include "photo/decode/serve.h"

#include <unistd.h>

int main(void) {
  static const dw__format *const formats[] = {&dw__format_heic, NULL};
  _exit(dw__serve(formats));
}

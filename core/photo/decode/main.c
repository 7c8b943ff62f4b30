/* dropwise-decode: reads one photo, sealed, for the program that started it (photo/decoder.h). */
#include "photo/decode/serve.h"

#include <unistd.h>

int main(void) {
  static const dw__format *const formats[] = {&dw__format_jpeg, &dw__format_png, NULL};
  _exit(dw__serve(formats)); /* nothing to tidy up, and the seal allows little of it */
}

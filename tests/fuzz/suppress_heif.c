/* libheif leaves some bytes of a file that it refuses; the decoder's process ends with the photo. */
const char *__lsan_default_suppressions(void);
const char *__lsan_default_suppressions(void) {
  return "leak:libheif.so\n";
}

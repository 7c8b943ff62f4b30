/* libheif leaves some bytes of a file that it refuses; the decoder's process ends with the photo. */
const char *__asan_default_options(void);
const char *__asan_default_options(void) {
  return "fast_unwind_on_malloc=0"; /* libstdc++ has no frame pointers: its caller libheif would not be seen */
}
const char *__lsan_default_suppressions(void);
const char *__lsan_default_suppressions(void) {
  return "leak:libheif.so\n";
}

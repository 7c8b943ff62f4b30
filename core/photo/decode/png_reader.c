/* A PNG decoder's life, and its errors in words. */
#include "photo/decode/png_reader.h"

#include <stdlib.h>
#include <string.h>

void dw__png_stop(dw__png *png, dw_status status) {
  png->status = status;
  dw__guard_leave(&png->guard);
}

static void on_error(png_structp lib, png_const_charp text) {
  dw__png *png = png_get_error_ptr(lib);
  const char *path = png->photo->path;
  dw_status status;
  if (ferror(png->photo->file))
    status = dw_fail(png->err, DW_IO, "%s cannot be read to its end.", path);
  else if (strstr(text, "emory"))
    status = dw_fail_memory(png->err, "decoding the photo");
  else if (png->cut)
    status = dw_fail(png->err, DW_CORRUPT, "%s is cut off: copy the photo again%s.", path,
                     png->job ? " or mark an area further up" : "");
  else
    status = dw_fail(png->err, DW_CORRUPT, "%s is damaged (%s): copy the photo again.", path, text);
  dw__png_stop(png, status);
}

static void on_warning(png_structp lib, png_const_charp text) {
  dw__png *png = png_get_error_ptr(lib);
  if (png->warning[0] == '\0') dw_copy_text(png->warning, sizeof png->warning, text);
}

static void on_read(png_structp lib, png_bytep out, size_t n) {
  dw__png *png = png_get_io_ptr(lib);
  if (fread(out, 1, n, png->photo->file) != n) {
    png->cut = true;
    png_error(lib, "the file ends early");
  }
  if ((png_get_io_state(lib) & PNG_IO_MASK_LOC) == PNG_IO_CHUNK_CRC) png->checksums++;
}

/* Texts and the like are passed over unread. EXIF is taken raw: libpng's own reading of it believes the
 * length that the chunk claims, whatever the limits. */
static void limit_chunks(dw__png *png) {
  static const png_byte unread[] = "tEXt\0zTXt\0iTXt\0sPLT\0hIST\0pCAL\0sCAL";
  static const png_byte wanted[] = "cICP\0eXIf";
  png_set_keep_unknown_chunks(png->png, PNG_HANDLE_CHUNK_NEVER, unread, (int)(sizeof unread / 5));
  png_set_keep_unknown_chunks(png->png, PNG_HANDLE_CHUNK_ALWAYS, wanted, 2);
  png_set_chunk_malloc_max(png->png, PNG_CHUNK_BYTES_MAX);
  png_set_chunk_cache_max(png->png, PNG_CHUNKS_KEPT_MAX);
  /* The picture's own size is held to our limits, in words of ours, before anything is allocated for it. */
  png_set_user_limits(png->png, PNG_UINT_31_MAX, PNG_UINT_31_MAX);
}

typedef struct task {
  dw__png *png;
  void (*work)(void *png);
} task;

static void run(void *ctx) {
  const task *t = ctx;
  dw__png *png = t->png;
  png->png = png_create_read_struct(PNG_LIBPNG_VER_STRING, png, on_error, on_warning);
  png->info = png->png ? png_create_info_struct(png->png) : NULL;
  if (!png->info) dw__png_stop(png, dw_fail_memory(png->err, "decoding the photo"));
  png_set_read_fn(png->png, png, on_read);
  limit_chunks(png);
  png_read_info(png->png, png->info);
  t->work(png);
}

dw_status dw__png_run(dw__png *png, void (*work)(void *png)) {
  rewind(png->photo->file);
  png->status = DW_OK;
  dw__guard_run(&png->guard, run, &(task){png, work});
  png_destroy_read_struct(&png->png, &png->info, NULL);
  if (png->warning[0]) dw_note(&png->photo->info.notes, "The PNG decoder warned: %s.", png->warning);
  return png->status;
}

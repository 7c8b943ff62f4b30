#include "app/bench/looks.h"

#include "app/bench/on_bench.h"
#include "app/bench/request.h"

#include <fcntl.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

enum { LOOK_BYTES_MAX = 96 << 20, PREVIEW_QUALITY = 80 };

static dw_status read_layers(dw_bench *bench, dw_photo *photo, dw_read_photo *out, dw_error *err) {
  dw__held_light *held = NULL;
  dw_status status = dw__lights_take(&bench->lights, out->sha256, photo, &out->marks, &held, err);
  for (size_t i = 0; i < out->marks.n && status == DW_OK; i++) {
    dw_arena *arena = dw_arena_new(LOOK_BYTES_MAX);
    status = arena ? dw_flow_measure(photo, held->light, &out->marks.layer[i], 0, arena,
                                     &out->reading.layer[i], NULL, err)
                   : dw_fail_memory(err, "a layer's pixels");
    dw_arena_free(arena);
  }
  if (status == DW_OK) out->reading.light = *dw_light_info_get(held->light);
  dw__lights_give(&bench->lights, held);
  return status;
}

static dw_status take_preview(dw_photo *photo, dw_read_photo *out, dw_error *err) {
  dw_preview preview;
  dw_arena *arena = dw_arena_new(0);
  dw_status status = arena ? DW_OK : dw_fail_memory(err, "a small picture");
  if (status == DW_OK) status = dw_photo_preview(photo, DW_KEPT_PREVIEW_SIDE, arena, &preview, err);
  if (status == DW_OK) status = dw_preview_jpeg(&preview, PREVIEW_QUALITY, &out->jpeg, &out->jpeg_bytes, err);
  dw_arena_free(arena);
  return status;
}

dw_status dw__look_describe(dw_bench *bench, const char *sha256, dw_photo **photo, dw_read_photo *out,
                            dw_error *err) {
  dw_photo_reading *reading = &out->reading;
  dw_copy_text(out->sha256, sizeof out->sha256, sha256);
  dw_status status = dw__photos_path(&bench->photos, sha256, reading->path, sizeof reading->path, err);
  if (status == DW_OK) status = dw__photos_open(&bench->photos, sha256, photo, err);
  if (status != DW_OK) return status;
  reading->photo = *dw_photo_info_get(*photo);
  return take_preview(*photo, out, err);
}

dw_status dw__look_read(dw_bench *bench, const char *sha256, const json_t *marks, dw_read_photo *out,
                        dw_error *err) {
  dw_photo *photo = NULL;
  dw_status status = dw__marks_of(marks, &out->marks, err);
  if (status == DW_OK && out->marks.n == 0)
    status = dw_fail(err, DW_BAD_INPUT, "No layer is marked on the photo yet.");
  if (status == DW_OK) status = dw__look_describe(bench, sha256, &photo, out, err);
  if (status == DW_OK) status = read_layers(bench, photo, out, err);
  out->reading.n = out->marks.n;
  out->reading.has_corners = out->marks.method == DW_LIGHT_CARD;
  out->reading.corners = out->marks.corners;
  out->reading.card = out->marks.card;
  dw_photo_close(photo);
  return status;
}

dw_status dw__look_keep_photo(dw_bench *bench, const char *sha256, int64_t *id, dw_error *err) {
  dw_photo *photo = NULL;
  dw_read_photo *read = calloc(1, sizeof *read);
  if (!read) return dw_fail_memory(err, "a photo");
  dw_status status = dw__look_describe(bench, sha256, &photo, read, err);
  if (status == DW_OK) status = dw__book_begin_aside(bench, err);
  if (status == DW_OK) status = dw__book_end(bench, dw_keep_photo(bench->book, read, id, err), err);
  dw_photo_close(photo);
  dw_read_photo_free(read);
  free(read);
  return status;
}

/* ---- photos that lie elsewhere ----------------------------------------------------------------------------
 */

static dw_status place_of(dw_bench *bench, const char *sha256, dw_photo_kept *out, dw_error *err) {
  int64_t id;
  dw_status status = dw__book_begin_reading(bench, err);
  if (status != DW_OK) return status;
  status = dw_photo_find(bench->book, sha256, &id, err);
  if (status == DW_OK) status = dw_photo_get(bench->book, id, out, err);
  return dw__book_end(bench, status, err);
}

static dw_status upload_from(int fd, dw__upload *upload, dw_error *err) {
  enum { CHUNK = 1 << 16 };
  char *chunk = malloc(CHUNK);
  ssize_t n = 0;
  dw_status status = chunk ? DW_OK : dw_fail_memory(err, "the photo");
  while (status == DW_OK && (n = read(fd, chunk, CHUNK)) > 0)
    status = dw__upload_put(upload, chunk, (size_t)n, err);
  if (status == DW_OK && n < 0) status = dw_fail(err, DW_IO, "The photo can't be read where it lay.");
  free(chunk);
  return status;
}

/* A pipe or device could block, so only a regular file is taken. */
static int open_regular(const char *path) {
  struct stat about;
  int fd = open(path, O_RDONLY | O_CLOEXEC | O_NONBLOCK);
  if (fd < 0 || (fstat(fd, &about) == 0 && S_ISREG(about.st_mode))) return fd;
  close(fd);
  return -1;
}

dw_status dw__look_fetch(dw_bench *bench, const char *sha256, dw_error *err) {
  dw_photo_kept kept;
  dw__upload *upload = NULL;
  char found[DW__SHA_ROOM];
  dw_status status = place_of(bench, sha256, &kept, err);
  if (status != DW_OK) return status;
  int fd = open_regular(kept.path);
  if (fd < 0) return dw_fail(err, DW_NOT_FOUND, "The photo no longer lies where it was read: %s.", kept.path);
  status = dw__upload_begin(&bench->photos, &upload, err);
  if (status == DW_OK) status = upload_from(fd, upload, err);
  if (status == DW_OK) dw__upload_digest(upload, found);
  if (status == DW_OK && strcmp(found, sha256) != 0)
    status = dw_fail(err, DW_NOT_FOUND, "The photo at %s is no longer the one that was read.", kept.path);
  if (status == DW_OK) status = dw__upload_finish(upload, found, err);
  dw__upload_free(upload);
  close(fd);
  return status;
}

#include "app/bench/looks.h"

#include "app/bench/desk.h"
#include "app/values.h"

#include <fcntl.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

enum { LOOK_BYTES_MAX = 96 << 20, PREVIEW_QUALITY = 80 };

static pt_status read_layers(pt_bench *bench, pt_photo *photo, pt_read_photo *out, pt_error *err) {
  pt__held_light *held = NULL;
  pt_status status = pt__lights_take(&bench->lights, out->sha256, photo, &out->marks, &held, err);
  for (size_t i = 0; i < out->marks.n && status == PT_OK; i++) {
    pt_arena *arena = pt_arena_new(LOOK_BYTES_MAX);
    status = arena ? pt__flow_measure(photo, held->light, &out->marks.layer[i], 0, arena,
                                      &out->reading.layer[i], NULL, err)
                   : pt_fail_memory(err, "a layer's pixels");
    pt_arena_free(arena);
  }
  if (status == PT_OK) out->reading.light = *pt_light_info_get(held->light);
  pt__lights_give(&bench->lights, held);
  return status;
}

static pt_status take_preview(pt_photo *photo, pt_read_photo *out, pt_error *err) {
  pt_preview preview;
  pt_arena *arena = pt_arena_new(0);
  pt_status status = arena ? PT_OK : pt_fail_memory(err, "a small picture");
  if (status == PT_OK) status = pt_photo_preview(photo, PT_KEPT_PREVIEW_SIDE, arena, &preview, err);
  if (status == PT_OK) status = pt_preview_jpeg(&preview, PREVIEW_QUALITY, &out->jpeg, &out->jpeg_bytes, err);
  pt_arena_free(arena);
  return status;
}

/* What the book asks of a photo besides its marks. */
static pt_status describe(pt_bench *bench, const char *sha256, pt_photo **photo, pt_read_photo *out,
                          pt_error *err) {
  pt_photo_reading *reading = &out->reading;
  pt_copy_text(out->sha256, sizeof out->sha256, sha256);
  pt_status status = pt__photos_path(&bench->photos, sha256, reading->path, sizeof reading->path, err);
  if (status == PT_OK) status = pt__photos_open(&bench->photos, sha256, photo, err);
  if (status != PT_OK) return status;
  reading->photo = *pt_photo_info_get(*photo);
  return take_preview(*photo, out, err);
}

pt_status pt__look_read(pt_bench *bench, const char *sha256, const json_t *marks, pt_read_photo *out,
                        pt_error *err) {
  pt_photo *photo = NULL;
  pt_status status = pt__marks_of(marks, &out->marks, err);
  if (status == PT_OK && out->marks.n == 0)
    status = pt_fail(err, PT_BAD_INPUT, "No layer is marked on the photo yet.");
  if (status == PT_OK) status = describe(bench, sha256, &photo, out, err);
  if (status == PT_OK) status = read_layers(bench, photo, out, err);
  out->reading.n = out->marks.n;
  out->reading.has_corners = out->marks.method == PT_LIGHT_CARD;
  out->reading.corners = out->marks.corners;
  out->reading.card = out->marks.card;
  pt_photo_close(photo);
  return status;
}

pt_status pt__look_keep_photo(pt_bench *bench, const char *sha256, int64_t *id, pt_error *err) {
  pt_photo *photo = NULL;
  pt_read_photo *read = calloc(1, sizeof *read);
  if (!read) return pt_fail_memory(err, "a photo");
  pt_status status = describe(bench, sha256, &photo, read, err);
  if (status == PT_OK) status = pt__book_begin(bench, err);
  if (status == PT_OK) status = pt__book_end(bench, pt__keep_photo(bench->book, read, id, err), err);
  pt_photo_close(photo);
  pt__read_photo_free(read);
  free(read);
  return status;
}

/* ---- photos that lie elsewhere ----------------------------------------------------------------------------
 */

static pt_status place_of(pt_bench *bench, const char *sha256, pt_photo_kept *out, pt_error *err) {
  int64_t id;
  pt_status status = pt__book_begin_reading(bench, err);
  if (status != PT_OK) return status;
  status = pt_photo_find(bench->book, sha256, &id, err);
  if (status == PT_OK) status = pt_photo_get(bench->book, id, out, err);
  return pt__book_end(bench, status, err);
}

static pt_status upload_from(int fd, pt__upload *upload, pt_error *err) {
  enum { CHUNK = 1 << 16 };
  char *chunk = malloc(CHUNK);
  ssize_t n = 0;
  pt_status status = chunk ? PT_OK : pt_fail_memory(err, "the photo");
  while (status == PT_OK && (n = read(fd, chunk, CHUNK)) > 0)
    status = pt__upload_put(upload, chunk, (size_t)n, err);
  if (status == PT_OK && n < 0) status = pt_fail(err, PT_IO, "The photo can't be read where it lay.");
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

pt_status pt__look_fetch(pt_bench *bench, const char *sha256, pt_error *err) {
  pt_photo_kept kept;
  pt__upload *upload = NULL;
  char found[PT__SHA_ROOM];
  pt_status status = place_of(bench, sha256, &kept, err);
  if (status != PT_OK) return status;
  int fd = open_regular(kept.path);
  if (fd < 0) return pt_fail(err, PT_NOT_FOUND, "The photo no longer lies where it was read: %s.", kept.path);
  status = pt__upload_begin(&bench->photos, &upload, err);
  if (status == PT_OK) status = upload_from(fd, upload, err);
  if (status == PT_OK) pt__upload_digest(upload, found);
  if (status == PT_OK && strcmp(found, sha256) != 0)
    status = pt_fail(err, PT_NOT_FOUND, "The photo at %s is no longer the one that was read.", kept.path);
  if (status == PT_OK) status = pt__upload_finish(upload, found, err);
  pt__upload_free(upload);
  close(fd);
  return status;
}

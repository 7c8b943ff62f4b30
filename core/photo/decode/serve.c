#include "photo/decode/serve.h"

#include "dropwise/seal.h"
#include "photo/patches.h"
#include "photo/preview.h"
#include "photo/spool.h"
#include "photo/wire.h"

#include <stdlib.h>
#include <string.h>
#include <sys/mman.h>
#include <unistd.h>

/* Beyond what a photo may take: libraries with their data, buffers of their own, the stack. */
#define OWN_DATA_BYTES ((size_t)96 << 20)
#define OWN_ALL_BYTES ((size_t)512 << 20)
enum { CPU_S_MAX = 3600, LIFE_S = 4 * 3600 };

dw_status dw__decoder_seal(const dw_photo_limits *limits, dw_error *err) {
  size_t spool = (size_t)(limits->max_megapixels * 1e6) * sizeof(dw__spooled) + DW__SPOOL_HEAD_BYTES;
  size_t shared = spool > limits->max_bytes ? spool : limits->max_bytes;
  dw_seal_limits most = {.data_bytes = limits->max_bytes + OWN_DATA_BYTES,
                         .all_bytes = limits->max_bytes + shared + OWN_ALL_BYTES,
                         .cpu_s = CPU_S_MAX,
                         .life_s = LIFE_S};
  dw_error why;
  if (dw_seal(DW__FD_CHANNEL, &most, &why) == DW_OK) return DW_OK;
  return dw_fail(err, DW_IO,
                 "Photos are decoded apart, behind the kernel's filter of system calls (seccomp), which this "
                 "system does not let Dropwise set: no photo can be read here.");
}

/* What needs more calls than the seal leaves (a stream asks for the file's mode) comes before it. */
static dw_status open_photo(const dw__ask *ask, const dw__format *const *formats, dw_photo **out,
                            dw_error *err) {
  char build[sizeof ask->build];
  dw__build(build);
  if (ask->kind != DW__ASK_OPEN || strncmp(ask->build, build, sizeof build) != 0)
    return dw_fail(err, DW_IO, "The program that decodes photos is of another build: install both again.");
  FILE *file = fdopen(DW__FD_PHOTO, "rb");
  if (!file) return dw_fail_memory(err, "a photo");
  dw_status status = dw__decoder_seal(&ask->limits, err);
  if (status == DW_OK) return dw__photo_open_here(file, ask->name, &ask->limits, formats, out, err);
  fclose(file);
  return status;
}

static dw_status asked_wrong(dw_error *err) {
  return dw_fail(err, DW_INTERNAL, "The program that decodes photos was asked for what it can't do.");
}

static dw_status fill_patches(dw_photo *photo, const dw__ask *ask, void *memory, dw_error *err) {
  size_t offset = dw__patches_offset(ask->n);
  dw__patches *patches = NULL;
  if (offset > ask->bytes) return asked_wrong(err);
  dw_status status = dw__patches_new(photo, memory, ask->n, ask->thin, &patches, err);
  if (status == DW_OK && offset + dw__patches_bytes(patches) != ask->bytes) status = asked_wrong(err);
  if (status == DW_OK) {
    dw__patches_place(patches, (char *)memory + offset);
    status = dw__patches_fill(patches, photo, err);
  }
  dw__patches_free(patches);
  return status;
}

static dw_status fill_preview(dw_photo *photo, const dw__ask *ask, void *memory, dw_error *err) {
  dw__view view;
  dw_status status = dw__view_plan(photo, ask->part, ask->max_side, &view, err);
  if (status != DW_OK) return status;
  view.keep = ask->keep;
  return dw__view_bytes(&view) == ask->bytes ? dw__view_fill(photo, &view, memory, err) : asked_wrong(err);
}

static dw_status fill_spool(dw_photo *photo, const dw__ask *ask, void *memory, dw_error *err) {
  return dw_spool_bytes(&photo->info) == ask->bytes ? dw__spool_fill(photo, memory, err) : asked_wrong(err);
}

/* The memory is let go before the reply: whoever gets it then seals it. */
static dw_status serve_one(dw_photo *photo, const dw__ask *ask, int fd, dw_error *err) {
  int early = ask->kind == DW__ASK_SPOOL ? 0 : MAP_POPULATE;
  void *memory = mmap(NULL, ask->bytes, PROT_READ | PROT_WRITE, MAP_SHARED | early, fd, 0);
  if (memory == MAP_FAILED) return dw_fail_memory(err, "the photo's pixels");
  dw_status status = ask->kind == DW__ASK_PATCHES   ? fill_patches(photo, ask, memory, err)
                     : ask->kind == DW__ASK_PREVIEW ? fill_preview(photo, ask, memory, err)
                     : ask->kind == DW__ASK_SPOOL   ? fill_spool(photo, ask, memory, err)
                                                    : asked_wrong(err);
  munmap(memory, ask->bytes);
  return status;
}

static bool reply(const dw_photo *photo, dw_status status, const dw_error *err) {
  static dw__reply out;
  out.status = status;
  if (status != DW_OK) memcpy(out.text, err->text, sizeof out.text);
  if (photo) out.info = photo->info;
  return write(DW__FD_CHANNEL, &out, sizeof out) == sizeof out;
}

int dw__serve(const dw__format *const *formats) {
  static dw__ask ask;
  dw_error err = {0};
  dw_photo *photo = NULL;
  int fd;
  if (!dw__receive(DW__FD_CHANNEL, &ask, sizeof ask, &fd)) return 1;
  dw_status status = open_photo(&ask, formats, &photo, &err);
  bool heard = reply(photo, status, &err) && status == DW_OK;
  while (heard && dw__receive(DW__FD_CHANNEL, &ask, sizeof ask, &fd)) {
    status = serve_one(photo, &ask, fd, &err);
    close(fd);
    heard = reply(photo, status, &err);
  }
  return 0;
}

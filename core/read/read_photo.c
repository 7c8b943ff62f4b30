/* A photo read and made ready to be kept: its hash, its marks and a small picture beside the reading. */
#include "dropwise/names.h"
#include "dropwise/read.h"

#include <stdlib.h>
#include <string.h>

dw_status dw_photo_read(const char *path, const dw_marks *marks, dw_read_photo *out, dw_error *err) {
  dw_preview preview = {0};
  dw_arena *arena = dw_arena_new(0);
  dw_status status = arena ? dw_file_sha256(path, out->sha256, err) : dw_fail_memory(err, "a photo");
  out->marks = *marks;
  out->jpeg = NULL;
  if (status == DW_OK)
    status = dw_flow_read(path, marks, NULL, DW_KEPT_PREVIEW_SIDE, arena, &out->reading, &preview, err);
  if (status == DW_OK)
    status = dw_preview_jpeg(&preview, DW_KEPT_PREVIEW_QUALITY, &out->jpeg, &out->jpeg_bytes, err);
  dw_arena_free(arena);
  return status;
}

void dw_read_photo_free(dw_read_photo *photo) {
  free(photo->jpeg);
  photo->jpeg = NULL;
}

const dw_layer_reading *dw_read_photo_layer(const dw_read_photo *photo, const char *name) {
  for (size_t i = 0; i < photo->reading.n; i++)
    if (dw_names_alike(photo->reading.layer[i].name, name)) return &photo->reading.layer[i];
  return NULL;
}

dw_status dw_read_photo_lacks(const dw_read_photo *photo, const char *name, dw_error *err) {
  char known[400] = "";
  for (size_t i = 0; i < photo->reading.n; i++) {
    size_t used = strlen(known);
    snprintf(known + used, sizeof known - used, "%s%s", i ? ", " : "", photo->reading.layer[i].name);
  }
  return dw_fail(err, DW_NOT_FOUND, "%s has no layer \"%s\"; it has %s.", photo->reading.path, name, known);
}

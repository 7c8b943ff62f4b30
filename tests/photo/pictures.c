#include "pictures.h"

#include "photo/decode.h"

#include "dropwise/color.h"

#include <dirent.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

size_t picture_pixel_bytes(const picture *p) {
  return (size_t)p->samples * (size_t)(p->bits / 8);
}

static unsigned sample_at(int x, int y, int c, int largest) {
  unsigned noise = (unsigned)x * 73856093u ^ (unsigned)y * 19349663u ^ (unsigned)c * 83492791u;
  noise = (noise ^ (noise >> 13)) * 2654435761u >> 26;
  int edge = ((x / 23 + y / 17 + c) & 1) ? largest / 3 : 0;
  int slope = (int)((int64_t)largest * ((x * (c + 1) + y * (3 - c)) % 211) / 420);
  int value = edge + slope + (int)(noise * (unsigned)largest / 1024);
  if (x % 97 < 3) value = 0;
  if (y % 89 < 2) value = largest;
  return (unsigned)(value > largest ? largest : value);
}

picture picture_make(int w, int h, int samples, int bits) {
  picture p = {w, h, samples, bits, NULL};
  size_t n = (size_t)w * (size_t)h * (size_t)samples;
  p.bytes = malloc(n * (size_t)(bits / 8));
  assert_non_null(p.bytes);
  for (size_t i = 0; i < n; i++) {
    size_t pixel = i / (size_t)samples;
    unsigned value = sample_at((int)(pixel % (size_t)w), (int)(pixel / (size_t)w), (int)(i % (size_t)samples),
                               bits == 16 ? 65535 : 255);
    if (bits == 16)
      ((uint16_t *)(void *)p.bytes)[i] = (uint16_t)value;
    else
      p.bytes[i] = (uint8_t)value;
  }
  return p;
}

/* EXIF 2.32, tag 0x0112, written out case by case: where the turned picture's pixel x, y is stored. */
static void stored_place(const picture *p, int orientation, int x, int y, int *sx, int *sy) {
  int right = p->w - 1, bottom = p->h - 1;
  switch (orientation) {
  case 2:
    *sx = right - x;
    *sy = y;
    break;
  case 3:
    *sx = right - x;
    *sy = bottom - y;
    break;
  case 4:
    *sx = x;
    *sy = bottom - y;
    break;
  case 5:
    *sx = y;
    *sy = x;
    break;
  case 6:
    *sx = y;
    *sy = bottom - x;
    break;
  case 7:
    *sx = right - y;
    *sy = bottom - x;
    break;
  case 8:
    *sx = right - y;
    *sy = x;
    break;
  default:
    *sx = x;
    *sy = y;
    break;
  }
}

picture picture_turned(const picture *p, int orientation) {
  picture t = *p;
  if (orientation >= 5) {
    t.w = p->h;
    t.h = p->w;
  }
  size_t size = picture_pixel_bytes(p);
  t.bytes = malloc((size_t)p->w * (size_t)p->h * size);
  assert_non_null(t.bytes);
  for (int y = 0; y < t.h; y++)
    for (int x = 0; x < t.w; x++) {
      int sx, sy;
      stored_place(p, orientation, x, y, &sx, &sy);
      memcpy(t.bytes + ((size_t)y * (size_t)t.w + (size_t)x) * size,
             p->bytes + ((size_t)sy * (size_t)p->w + (size_t)sx) * size, size);
    }
  return t;
}

int folder_make(void **state) {
  char *path = strdup("/tmp/dw_photo_XXXXXX");
  if (!path || !mkdtemp(path)) return -1;
  *state = path;
  return 0;
}

int folder_remove(void **state) {
  char path[512];
  DIR *dir = opendir(*state);
  if (!dir) return -1;
  for (struct dirent *e; (e = readdir(dir));) {
    snprintf(path, sizeof path, "%s/%s", (char *)*state, e->d_name);
    if (e->d_name[0] != '.') unlink(path);
  }
  closedir(dir);
  int result = rmdir(*state);
  free(*state);
  return result;
}

const char *in_folder(void **state, const char *name) {
  static char room[4][256];
  static unsigned next;
  char *path = room[next++ % 4];
  snprintf(path, sizeof room[0], "%s/%s", (char *)*state, name);
  return path;
}

uint8_t *bytes_read(const char *path, size_t *n) {
  dw_error err;
  char *bytes;
  if (dw_file_read(path, 1 << 28, &bytes, n, &err) != DW_OK) fail_msg("%s", err.text);
  return (uint8_t *)bytes;
}

void bytes_write(const char *path, const void *bytes, size_t n) {
  FILE *file = fopen(path, "wb");
  assert_non_null(file);
  assert_int_equal(fwrite(bytes, 1, n, file), n);
  assert_int_equal(fclose(file), 0);
}

dw_status photo_open_here(const char *path, const dw_photo_limits *limits, dw_photo **out, dw_error *err) {
  static const dw__format *const formats[] = {&dw__format_jpeg, &dw__format_png, NULL};
  FILE *file = fopen(path, "rb");
  return file ? dw__photo_open_here(file, path, limits, formats, out, err) : dw_fail_memory(err, "a stream");
}

dw_photo *photo_open_ok(const char *path) {
  dw_error err;
  dw_photo *photo = NULL;
  if (dw_photo_open(path, NULL, &photo, &err) != DW_OK) fail_msg("%s", err.text);
  return photo;
}

bool has_note(const dw_photo *photo, const char *part) {
  const dw_notes *notes = &dw_photo_info_get(photo)->notes;
  for (size_t i = 0; i < notes->n; i++)
    if (strstr(notes->text[i], part)) return true;
  return false;
}

static void assert_patch_equal(const dw_patch *patch, const picture *whole, const dw_profile *profile) {
  size_t size = picture_pixel_bytes(whole), w = (size_t)patch->rect.w;
  float *row = malloc(w * 3 * sizeof *row);
  assert_non_null(row);
  for (int y = 0; y < patch->rect.h; y++) {
    size_t from = (size_t)(patch->rect.y + y) * (size_t)whole->w + (size_t)patch->rect.x;
    dw_profile_linear(profile, whole->bytes + from * size, w, row);
    const float *got = patch->rgb + (size_t)y * w * 3;
    for (size_t i = 0; i < w * 3; i++)
      if (row[i] != got[i])
        fail_msg("at %d,%d channel %d: %.9g, expected %.9g", patch->rect.x + (int)(i / 3), patch->rect.y + y,
                 (int)(i % 3), (double)got[i], (double)row[i]);
  }
  free(row);
}

void assert_patches_equal(const char *path, const picture *whole, const dw_rect *rects, size_t n,
                          const void *icc, size_t icc_bytes, int pixel_kind) {
  dw_error err;
  dw_photo *photo = photo_open_ok(path);
  dw_arena *arena = dw_arena_new(0);
  dw_patch *patches = calloc(n, sizeof *patches);
  dw_profile *profile = NULL;
  if (dw_profile_open(icc, icc_bytes, (dw_pixel_kind)pixel_kind, whole->bits, &profile, &err) != DW_OK)
    fail_msg("%s", err.text);
  assert_int_equal(dw_photo_info_get(photo)->width, whole->w);
  assert_int_equal(dw_photo_info_get(photo)->height, whole->h);
  if (dw_photo_patches(photo, rects, n, arena, patches, &err) != DW_OK) fail_msg("%s", err.text);
  for (size_t i = 0; i < n; i++) assert_patch_equal(&patches[i], whole, profile);
  assert_false(has_note(photo, "early") || has_note(photo, "warned") || has_note(photo, "cut off"));
  dw_profile_close(profile);
  free(patches);
  dw_arena_free(arena);
  dw_photo_close(photo);
}

/* Photos given on the command line, read with their marks. */
#include "app/cli/book.h"
#include "dropwise/read_swirl.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

static dw_status set_region(const cli_args *args, const char *layer, dw_marks *marks, dw_error *err) {
  const char *region = cli_value(args, "--region");
  if (!region) return DW_OK;
  if (!layer) return dw_fail(err, DW_USAGE, "--region marks one layer; say which one.");
  dw_text mark = {0};
  dw_text_add(&mark, "%s=%s", layer, region);
  dw_status status =
      mark.failed ? dw_fail_memory(err, "the region") : dw_marks_add_layer(marks, mark.data, err);
  dw_text_free(&mark);
  return status;
}

/* The marks of photo i of n: its own file, or the one for all, and the options over it. */
static dw_status marks_of(const cli_args *args, size_t i, size_t n, const char *layer, dw_marks *out,
                          dw_error *err) {
  dw_status status = cli_light(args, i, n, out, err);
  return status == DW_OK ? set_region(args, layer, out, err) : status;
}

/* Room for n more; what is there moves. */
static dw_status grow(cli_photos *photos, size_t n, dw_error *err) {
  if (photos->n + n > CLI_BAITS_MAX)
    return dw_fail(err, DW_USAGE, "There are more than %d baits in these photos; give fewer at once.",
                   CLI_BAITS_MAX);
  dw_read_photo *wider = realloc(photos->photo, (photos->n + n) * sizeof *wider);
  if (!wider) return dw_fail_memory(err, "the photos");
  photos->photo = wider;
  for (size_t i = 0; i < n; i++) photos->shot[photos->n + i] = photos->shots;
  return DW_OK;
}

static dw_status add_marked(const char *path, const dw_marks *marks, cli_photos *out, dw_error *err) {
  dw_status status = grow(out, 1, err);
  if (status != DW_OK) return status;
  dw_read_photo *photo = &out->photo[out->n++];
  photo->jpeg = NULL;
  return dw_photo_read(path, marks, photo, err);
}

/* Takes what was read of one photo. */
static dw_status take(dw_read_photo *photos, size_t n, cli_photos *out, dw_error *err) {
  dw_status status = grow(out, n, err);
  if (status != DW_OK) {
    dw_found_photos_free(photos, n);
    return status;
  }
  memcpy(&out->photo[out->n], photos, n * sizeof *photos);
  out->n += n;
  free(photos);
  return DW_OK;
}

static dw_status add_found(const char *path, const dw_find_wish *wish, dw_arena *arena, dw_found *what,
                           cli_photos *out, dw_error *err) {
  dw_read_photo *found = NULL;
  size_t n = 0;
  dw_status status = dw_found_photos(path, wish, arena, what, &found, &n, &out->notes, err);
  if (status != DW_OK) return status;
  out->back_open = out->back_open || dw_bait_backs_open(&what->baits);
  return take(found, n, out, err);
}

/* marks  NULL: the baits are found */
static dw_status add_swirls(const char *path, const dw_marks *marks, const dw_find_wish *wish,
                            cli_photos *out, dw_error *err) {
  dw_read_photo *photos = NULL;
  size_t n = 0;
  dw_status status = dw_swirl_photos(path, marks, wish, &photos, &n, &out->notes, err);
  return status == DW_OK ? take(photos, n, out, err) : status;
}

dw_status cli_photos_find(const cli_args *args, const char *path, const dw_find_wish *wish, cli_photos *out,
                          dw_error *err) {
  if (wish->swirl) {
    dw_status swirled = add_swirls(path, NULL, wish, out, err);
    out->shots++;
    return swirled;
  }
  dw_arena *arena = dw_arena_new(0);
  dw_found *found = calloc(1, sizeof *found);
  dw_status status = arena && found ? DW_OK : dw_fail_memory(err, "the baits");
  if (status == DW_OK) status = add_found(path, wish, arena, found, out, err);
  if (status == DW_OK && args) status = cli_find_files(args, wish, found, arena, err);
  out->shots++;
  free(found);
  dw_arena_free(arena);
  return status;
}

dw_status cli_photos_add(const char *path, const dw_marks *marks, const dw_find_wish *wish, cli_photos *out,
                         dw_error *err) {
  if (wish && !marks) return cli_photos_find(NULL, path, wish, out, err);
  dw_status status = wish ? add_swirls(path, marks, wish, out, err) : add_marked(path, marks, out, err);
  out->shots++;
  return status;
}

dw_status cli_photos_join(cli_photos *from, cli_photos *out, dw_error *err) {
  dw_status status = grow(out, from->n, err);
  if (status != DW_OK) return status;
  for (size_t i = 0; i < from->n; i++) {
    out->photo[out->n] = from->photo[i];
    out->shot[out->n++] = out->shots + from->shot[i];
  }
  out->shots += from->shots;
  out->back_open = out->back_open || from->back_open;
  dw_notes_add(&out->notes, &from->notes);
  from->n = 0;
  return DW_OK;
}

/* marks  of a photo of searched baits its light */
static dw_status add_photo(const char *path, const dw_marks *marks, bool searched, const dw_find_wish *wish,
                           cli_photos *out, dw_error *err) {
  if (!searched) return cli_photos_add(path, marks, wish, out, err);
  dw_find_wish own = *wish;
  own.light = marks;
  return cli_photos_add(path, NULL, &own, out, err);
}

dw_status cli_photos_read(const cli_args *args, const char *layer, const dw_find_wish *wish, cli_photos *out,
                          dw_error *err) {
  bool searched = false;
  *out = (cli_photos){0};
  size_t n = cli_count(args, "--photo"), at = 0;
  if (n > CLI_PHOTOS_MAX)
    return dw_fail(err, DW_USAGE, "At most %d photos can be read at once.", CLI_PHOTOS_MAX);
  dw_marks *marks = malloc(sizeof *marks);
  dw_status status = marks ? DW_OK : dw_fail_memory(err, "the photos");
  if (status == DW_OK && wish) status = cli_searched(args, &searched, err);
  if (!searched && wish && !wish->swirl) wish = NULL;
  for (size_t i = 0; i < n && status == DW_OK; i++) {
    const char *path = cli_next(args, "--photo", &at);
    status = marks_of(args, i, n, layer, marks, err);
    if (status == DW_OK && !searched) cli_card_search(args, path, marks);
    if (status == DW_OK) status = add_photo(path, marks, searched, wish, out, err);
  }
  free(marks);
  return status;
}

dw_status cli_photos_of_pattern(const cli_args *args, const char *name, const char *layer, cli_photos *out,
                                dw_error *err) {
  dw_pattern pattern = {0};
  dw_find_wish wish;
  *out = (cli_photos){0};
  if (!cli_has(args, "--photo")) return DW_OK;
  dw_status status = cli_find_pattern(args, name, &pattern, err);
  if (status == DW_OK) status = cli_find_wish(args, pattern.n ? &pattern : NULL, &wish, err);
  return status == DW_OK ? cli_photos_read(args, layer, &wish, out, err) : status;
}

void cli_photos_free(cli_photos *photos) {
  for (size_t i = 0; i < photos->n; i++) dw_read_photo_free(&photos->photo[i]);
  free(photos->photo);
  *photos = (cli_photos){0};
}

/* How many baits of shot s there are, from which one on. */
static size_t baits_of(const cli_photos *photos, size_t s, size_t *first) {
  size_t n = 0;
  for (size_t i = photos->n; i-- > 0;)
    if (photos->shot[i] == s) *first = i, n++;
  return n;
}

void cli_photos_say(const cli_photos *photos, dw_text *out) {
  size_t first = 0;
  for (size_t s = 0; s < photos->shots; s++) {
    size_t n = baits_of(photos, s, &first);
    if (n > 1) dw_text_add(out, "%s: %zu baits were found.\n", photos->photo[first].reading.path, n);
  }
  dw_text_notes(&photos->notes, "", out);
  if (photos->back_open) cli_back_hint(out);
}

json_t *cli_photos_json(const cli_photos *photos, json_t *json) {
  json_t *list = json_array();
  size_t first = 0;
  for (size_t s = 0; s < photos->shots; s++) {
    size_t n = baits_of(photos, s, &first);
    list = dw_json_and(list, json_pack("{s:o, s:I}", "path", dw_json_text(photos->photo[first].reading.path),
                                       "baits", (json_int_t)n));
  }
  json = dw_json_with(json, "photos", list);
  return dw_json_with(json, "warnings", dw_json_notes(&photos->notes));
}

dw_status cli_photos_mean(const cli_photos *photos, const char *layer, dw_reading *mean, double *spread_de00,
                          dw_error *err) {
  dw_reading *each = calloc(photos->n + 1, sizeof *each);
  dw_status status = each ? DW_OK : dw_fail_memory(err, "the readings");
  for (size_t i = 0; i < photos->n && status == DW_OK; i++) {
    const dw_layer_reading *found = dw_read_photo_layer(&photos->photo[i], layer);
    if (found)
      each[i] = found->reading;
    else
      status = dw_read_photo_lacks(&photos->photo[i], layer, err);
  }
  if (status == DW_OK) status = dw_reading_mean(each, photos->n, mean, err);
  double squares = 0;
  for (size_t i = 0; i < photos->n && status == DW_OK; i++) {
    double away = dw_de00(mean->lab, each[i].lab);
    squares += away * away;
  }
  if (status == DW_OK) *spread_de00 = photos->n > 1 ? sqrt(squares / (double)(photos->n - 1)) : 0;
  free(each);
  return status;
}

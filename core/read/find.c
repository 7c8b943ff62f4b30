/* Nothing marked: the card by its own colors, then every bait on the board. */
#include "dropwise/card_find.h"
#include "read/finding.h"

#include <stdlib.h>
#include <string.h>

/* The card in the picture that the baits are looked for in, where that has the size that suits both. */
static dw_status card_find(dw__finding *f, dw_error *err) {
  const dw_photo_info *info = dw_photo_info_get(f->photo);
  if (!f->view.rgb ||
      dw_card_find_side(info->width, info->height) != dw_bait_view_side(info->width, info->height))
    return dw_card_find(f->photo, &f->marks->card, &f->marks->corners, err);
  return dw_card_find_in(&f->view, dw_photo_path(f->photo), &f->marks->card, &f->marks->corners, err);
}

dw_status dw__finding_light(dw__finding *f, size_t max_bytes, dw_error *err) {
  dw_error own;
  if (f->marks->method != DW_LIGHT_NONE) return dw_flow_light(f->photo, f->marks, max_bytes, &f->light, err);
  dw_status status = card_find(f, &own);
  f->marks->method = DW_LIGHT_CARD;
  if (status == DW_OK) status = dw_flow_light(f->photo, f->marks, max_bytes, &f->light, &own);
  if (status == DW_OK) return DW_OK;
  if (status != DW_NOT_FOUND && status != DW_REFUSED) {
    *err = own;
    return status;
  }
  dw_copy_text(f->why, sizeof f->why, own.text);
  f->marks->method = DW_LIGHT_NONE;
  return dw_light_none(&f->light, err);
}

dw_status dw__finding_pixels(dw__finding *f, dw_patch *out, dw_error *err) {
  const dw_photo_info *info = dw_photo_info_get(f->photo);
  return dw_photo_patch_thinned(f->photo, (dw_rect){0, 0, info->width, info->height}, dw_bait_step(info),
                                f->pixels, out, err);
}

bool dw__light_given(const dw_marks *light, dw_marks *out) {
  if (!light || light->method == DW_LIGHT_NONE) return false;
  *out = *light;
  out->n = 0;
  return true;
}

dw_status dw__finding_marks(const char *card_set, const dw_marks *light, dw_marks *out, dw_error *err) {
  if (dw__light_given(light, out)) return DW_OK;
  dw_marks_begin(out);
  return dw_marks_set_card(out, card_set, err);
}

dw_find_wish dw__light_only(const dw_find_wish *wish, const dw_marks **marks) {
  dw_find_wish out = *wish;
  if (!*marks || (*marks)->n) return out;
  out.light = *marks;
  *marks = NULL;
  return out;
}

bool dw__finding_covers(const dw__finding *f, dw_corners *out) {
  const dw_marks *marks = f->marks;
  dw_rect box;
  *out = marks->corners;
  if (marks->method != DW_LIGHT_GRAY) return marks->method == DW_LIGHT_CARD;
  if (dw_shape_bounds(&marks->gray, dw_photo_info_get(f->photo), &box, NULL) != DW_OK) return false;
  const double x = box.x, y = box.y;
  *out = (dw_corners){{x, y, x + box.w, y, x + box.w, y + box.h, x, y + box.h}};
  return true;
}

const dw_corners *dw__finding_card(const dw__finding *f, const dw_patch *patch, dw_corners *out) {
  dw_corners at;
  if (!dw__finding_covers(f, &at)) return NULL;
  for (size_t i = 0; i < 8; i += 2)
    dw_photo_in_patch(patch, at.xy[i], at.xy[i + 1], &out->xy[i], &out->xy[i + 1]);
  return out;
}

static dw_status view_make(dw__finding *f, dw_error *err) {
  const dw_photo_info *info = dw_photo_info_get(f->photo);
  return dw_photo_preview_halved(f->photo, dw_bait_view_side(info->width, info->height), f->pixels, &f->view,
                                 err);
}

static dw_status baits_read(dw__finding *f, const dw_bait_rules *rules, dw_arena *arena, dw_baits *out,
                            dw_error *err) {
  dw_bait_rules own = *rules;
  own.has_card = dw__finding_covers(f, &own.card);
  return dw_baits_find_in(f->photo, &f->view, &own, f->light, arena, out, err);
}

void dw__finding_head(const dw__finding *f, dw_photo_reading *out) {
  memset(out, 0, sizeof *out);
  dw_copy_text(out->path, sizeof out->path, dw_photo_path(f->photo));
  out->photo = *dw_photo_info_get(f->photo);
  out->light = *dw_light_info_get(f->light);
  if (*f->why) dw_note(&out->light.notes, "%s", f->why);
  if (f->marks->method != DW_LIGHT_CARD) return;
  out->has_corners = true;
  out->corners = f->marks->corners;
  out->card = f->marks->card;
}

dw_status dw__find_in(dw__finding *f, const dw_bait_rules *rules, size_t max_bytes, dw_arena *arena,
                      dw_found *out, dw_error *err) {
  dw_baits baits;
  f->pixels = dw_arena_new(max_bytes);
  dw_status status = f->pixels ? DW_OK : dw_fail_memory(err, "the photo's pixels");
  if (status == DW_OK) status = view_make(f, err);
  if (status == DW_OK) status = dw__finding_light(f, max_bytes, err);
  if (status == DW_OK) status = baits_read(f, rules, arena, &baits, err);
  if (status == DW_OK) {
    dw__finding_head(f, &out->reading);
    out->baits = baits;
  }
  dw_arena_free(f->pixels);
  f->pixels = NULL;
  f->view.rgb = NULL;
  return status;
}

dw_status dw_find_in(dw_photo *photo, dw_marks *marks, const dw_bait_rules *rules, size_t max_bytes,
                     dw_arena *arena, dw_found *out, dw_error *err) {
  dw__finding f = {.photo = photo, .marks = marks};
  dw_status status = dw__find_in(&f, rules, max_bytes, arena, out, err);
  dw_light_free(f.light);
  return status;
}

dw_status dw__find_open(const char *path, const dw_find_wish *wish, dw_arena *arena, dw_photo **photo,
                        dw_found *out, dw_error *err) {
  dw_photo_limits most = dw_photo_limits_default();
  dw_marks *marks = malloc(sizeof *marks);
  dw_status status =
      marks ? dw__finding_marks(wish->card_set, wish->light, marks, err) : dw_fail_memory(err, "the card");
  if (status == DW_OK) status = dw_photo_open(path, &most, photo, err);
  if (status == DW_OK) status = dw_find_in(*photo, marks, &wish->rules, most.max_bytes, arena, out, err);
  free(marks);
  return status;
}

dw_status dw_find_read(const char *path, const dw_find_wish *wish, dw_arena *arena, dw_found *out,
                       dw_error *err) {
  dw_photo *photo = NULL;
  dw_status status = dw__find_open(path, wish, arena, &photo, out, err);
  dw_photo_close(photo);
  return status;
}

const char *dw_bait_layer_name(size_t i, size_t n) {
  static const char *const names[DW_BAIT_LAYERS_MAX][DW_BAIT_LAYERS_MAX] = {
      {"body"}, {"back", "belly"}, {"back", "middle", "belly"}, {"back", "upper", "lower", "belly"}};
  return n >= 1 && n <= DW_BAIT_LAYERS_MAX && i < n ? names[n - 1][i] : "";
}

const char *dw_find_layer_name(const dw_find_wish *wish, size_t i, size_t n) {
  return wish && wish->n == n ? wish->name[i] : dw_bait_layer_name(i, n);
}

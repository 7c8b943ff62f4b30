/* Drops go into a cup, a cup's log is corrected, the batch is done. */
#include "app/bench/on_bench.h"
#include "app/bench/request.h"
#include "app/bench/settings.h"
#include "dropwise/batch.h"
#include "dropwise/batch_heat.h"
#include "dropwise/book_settings.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#define AMOUNT_TINY 1e-6

/* The body's "seen" must be what the cup is, so that nothing is poured twice. */
static dw_status check_cup(dw__exchange *x, const dw_book_cup *cup, const char *seen, dw_error *err) {
  dw_book_addition *list = NULL;
  char now[DW__SEEN_ROOM];
  size_t n = 0;
  dw_status status = dw_book_cup_additions(x->bench->book, cup->id, &list, &n, err);
  if (status == DW_OK) dw__cup_seen(cup, list, n, now);
  free(list);
  if (status != DW_OK || strcmp(seen, now) == 0) return status;
  return dw_fail(err, DW_REFUSED, "The cup was changed meanwhile; here it is as it is now.");
}

/* The cup that the body's "layer" names; begun where the layer came into the pattern later. */
static dw_status cup_of(dw__exchange *x, const dw__on_bench *on, dw_book_cup *out, dw_error *err) {
  dw_book *book = x->bench->book;
  const dw_pattern_layer *layer = NULL;
  const char *name, *seen;
  double volume_floz, capacity_floz;
  int64_t id;
  dw_status status = dw_json_text_of(x->body, "layer", true, &name, err);
  if (status == DW_OK) status = dw_json_text_of(x->body, "seen", true, &seen, err);
  if (status == DW_OK) status = dw_pattern_layer_find(&on->pattern, name, &layer, err);
  if (status == DW_OK && !on->row.batch)
    status = dw_fail(err, DW_BAD_INPUT, "The batch was removed: lay the pattern on the bench again.");
  if (status != DW_OK) return status;
  status = dw_book_cup_find(book, on->row.batch, layer->id, out, err);
  if (status != DW_NOT_FOUND) return status == DW_OK ? check_cup(x, out, seen, err) : status;
  status = dw_book_fresh_cup(book, &volume_floz, &capacity_floz, err);
  if (status == DW_OK)
    status = dw_book_cup_begin(book, on->row.batch, layer->id, volume_floz, capacity_floz, &id, err);
  return status == DW_OK ? dw_book_cup_find(book, on->row.batch, layer->id, out, err) : status;
}

/* ---- poured -----------------------------------------------------------------------------------------------
 */

/* Drops of a body: {"orange": 12}, each a number. */
static dw_status check_drops(const json_t *drops, dw_error *err) {
  json_t *value;
  const char *slug;
  if (drops && !json_is_object(drops))
    return dw_fail(err, DW_USAGE, "Drops must be an object such as {\"orange\": 12}.");
  json_object_foreach((json_t *)(uintptr_t)drops, slug, value) {
    if (!json_is_number(value) || json_number_value(value) < 0)
      return dw_fail(err, DW_USAGE, "The drops of \"%.60s\" must be a number of 0 or more.", slug);
  }
  return DW_OK;
}

/* What goes in must be at hand; what a cup holds already may have left the shelf. */
static dw_status check_at_hand(dw_book *book, const json_t *add, const json_t *held, dw_error *err) {
  dw_shelf *shelf = NULL;
  json_t *value;
  const char *slug;
  dw_status status = dw_book_shelf(book, &shelf, NULL, err);
  json_object_foreach((json_t *)(uintptr_t)add, slug, value) {
    bool more = json_number_value(value) > json_number_value(json_object_get(held, slug)) + AMOUNT_TINY;
    if (status == DW_OK && more && dw_shelf_find(shelf, slug) < 0) status = dw_shelf_lacks(shelf, slug, err);
  }
  dw_shelf_free(shelf);
  return status;
}

static dw_status add_all(dw_book *book, int64_t cup, const json_t *add, double clear_floz, dw_error *err) {
  json_t *value;
  const char *slug;
  dw_status status = clear_floz > 0 ? dw_book_cup_add(book, cup, NULL, clear_floz, err) : DW_OK;
  json_object_foreach((json_t *)(uintptr_t)add, slug, value) {
    if (status == DW_OK && json_number_value(value) > 0)
      status = dw_book_cup_add(book, cup, slug, json_number_value(value), err);
  }
  return status;
}

static bool any_drops(const json_t *drops) {
  json_t *value;
  const char *slug;
  json_object_foreach((json_t *)(uintptr_t)drops, slug, value) {
    if (json_number_value(value) > 0) return true;
  }
  return false;
}

dw_status dw__work_pour_post(dw__exchange *x, dw_error *err) {
  dw__on_bench on;
  dw_book_cup cup;
  const json_t *add = json_object_get(x->body, "add");
  double clear_floz = 0;
  dw_status status = dw__on_bench_begin(x, DW__SAW_CUP, &on, err);
  if (status != DW_OK) return status;
  status = check_drops(add, err);
  if (status == DW_OK) status = dw_json_number_of(x->body, "add_clear_floz", 0, 1000, 0, &clear_floz, err);
  if (status == DW_OK && !any_drops(add) && clear_floz <= 0)
    status = dw_fail(err, DW_USAGE, "Nothing was added: give drops or clear base.");
  if (status == DW_OK) status = check_at_hand(x->bench->book, add, NULL, err);
  if (status == DW_OK) status = cup_of(x, &on, &cup, err);
  if (status == DW_OK) status = add_all(x->bench->book, cup.id, add, clear_floz, err);
  return dw__on_bench_end(x, &on, status, err);
}

/* ---- corrected --------------------------------------------------------------------------------------------
 */

/* cup  with the capacity that it has by now */
static dw_status bring_drop(dw_book *book, const dw_book_cup *cup, const char *slug, double had, double has,
                            dw_error *err) {
  if (fabs(has - had) <= AMOUNT_TINY) return DW_OK;
  dw_status status = dw_book_cup_set_drops(book, cup->id, slug, has, err);
  if (status != DW_OK || has < had) return status;
  return dw_book_cup_check_room(book, cup->id, cup->capacity_floz, err);
}

/* First what was less, so that no cup runs over on the way. */
static dw_status bring_drops(dw_book *book, const dw_book_cup *cup, json_t *now, const json_t *drops,
                             dw_error *err) {
  json_t *value;
  const char *slug;
  dw_status status = DW_OK;
  json_object_foreach(now, slug, value) {
    double had = json_number_value(value), has = json_number_value(json_object_get(drops, slug));
    if (status == DW_OK && has < had) status = bring_drop(book, cup, slug, had, has, err);
  }
  json_object_foreach((json_t *)(uintptr_t)drops, slug, value) {
    double had = json_number_value(json_object_get(now, slug)), has = json_number_value(value);
    if (status == DW_OK && has > had) status = bring_drop(book, cup, slug, had, has, err);
  }
  return status;
}

/* Clear base that is missing in the log counts as in the cup from its start. */
static dw_status bring_volume(dw_book *book, const dw_book_cup *cup, double floz, dw_error *err) {
  const double more = floz - cup->volume_floz;
  if (fabs(more) <= AMOUNT_TINY) return DW_OK;
  if (more < 0) return dw_book_cup_correct(book, cup->id, NULL, -more, err);
  dw_status status = dw_book_cup_set_volume(book, cup->id, cup->begun_floz + more, err);
  return status == DW_OK ? dw_book_cup_check_room(book, cup->id, cup->capacity_floz, err) : status;
}

/* cup  as it was, with the capacity that is wanted */
static dw_status bring_all(dw_book *book, const dw_book_cup *cup, json_t *now, const json_t *drops,
                           double volume_floz, dw_error *err) {
  const bool less = volume_floz < cup->volume_floz;
  dw_status status = less ? bring_volume(book, cup, volume_floz, err) : DW_OK;
  if (status == DW_OK && drops) status = bring_drops(book, cup, now, drops, err);
  return status == DW_OK && !less ? bring_volume(book, cup, volume_floz, err) : status;
}

static dw_status correct(dw_book *book, const dw_book_cup *cup, const json_t *drops, double volume_floz,
                         double capacity_floz, dw_error *err) {
  dw_book_addition *list = NULL;
  dw_book_cup held = *cup;
  size_t n = 0;
  dw_status status = dw_book_cup_additions(book, cup->id, &list, &n, err);
  json_t *now = dw__additions_drops_json(list, n);
  free(list);
  if (status == DW_OK) status = check_at_hand(book, drops, now, err);
  if (fabs(capacity_floz - cup->capacity_floz) > AMOUNT_TINY && status == DW_OK) {
    held.capacity_floz = capacity_floz;
    status = dw_book_cup_set_capacity(book, cup->id, capacity_floz, err);
  }
  if (status == DW_OK) status = bring_all(book, &held, now, drops, volume_floz, err);
  json_decref(now);
  return status;
}

dw_status dw__work_cup_post(dw__exchange *x, dw_error *err) {
  dw__on_bench on;
  dw_book_cup cup;
  const json_t *drops = json_object_get(x->body, "drops");
  double volume = 0, capacity = 0;
  dw_status status = dw__on_bench_begin(x, DW__SAW_CUP, &on, err);
  if (status != DW_OK) return status;
  status = check_drops(drops, err);
  if (status == DW_OK) status = cup_of(x, &on, &cup, err);
  if (status == DW_OK)
    status = dw_json_number_of(x->body, "volume_floz", 0.01, 1000, cup.volume_floz, &volume, err);
  if (status == DW_OK)
    status = dw_json_number_of(x->body, "capacity_floz", 0.01, 2000, cup.capacity_floz, &capacity, err);
  if (status == DW_OK) status = correct(x->bench->book, &cup, drops, volume, capacity, err);
  return dw__on_bench_end(x, &on, status, err);
}

/* ---- heated ------------------------------------------------------------------------------------------------
 */

static dw_status note_heat(dw__exchange *x, const dw__on_bench *on, char *warning, size_t room,
                           dw_error *err) {
  dw_book_cup cup;
  const bool reheat = json_is_true(json_object_get(x->body, "reheat"));
  dw_units units = DW_UNITS_US;
  double fahrenheit;
  int64_t minute;
  dw_status status = dw_json_number_of(x->body, "temperature_f", -1e3, 1e4, NAN, &fahrenheit, err);
  if (status == DW_OK)
    status = dw_json_whole_of(x->body, "minute", 0, DW_HEAT_MINUTE_MAX, DW_HEAT_BY_CLOCK, &minute, err);
  if (status == DW_OK) status = dw__flag_check(x->body, "reheat", err);
  if (status == DW_OK) status = dw__units_in(x->bench, &units, err);
  if (status == DW_OK && !isnan(fahrenheit) && dw_heat_check(fahrenheit, units, warning, room, err) != DW_OK)
    status = DW_BAD_INPUT;
  if (status == DW_OK) status = cup_of(x, on, &cup, err);
  return status == DW_OK ? dw_book_heat_note(x->bench->book, cup.id, fahrenheit, (int)minute, reheat, err)
                         : status;
}

dw_status dw__work_heat_post(dw__exchange *x, dw_error *err) {
  dw__on_bench on;
  char warning[2 * DW_NOTE_TEXT] = "";
  dw_status status = dw__on_bench_begin(x, DW__SAW_CUP, &on, err);
  if (status != DW_OK) return status;
  status = dw__on_bench_end(x, &on, note_heat(x, &on, warning, sizeof warning, err), err);
  if (status != DW_OK || !*warning) return status;
  x->json = dw_json_with(x->json, "warning", json_string(warning));
  return x->json ? DW_OK : dw_fail_memory(err, "the answer");
}

/* ---- done -------------------------------------------------------------------------------------------------
 */

static dw_status check_poured(dw_book *book, int64_t batch, dw_error *err) {
  bool empty;
  dw_status status = dw_batch_empty(book, batch, &empty, err);
  if (status != DW_OK || !empty) return status;
  return dw_fail(err, DW_BAD_INPUT, "No cup holds a drop yet: there is no batch to finish.");
}

static dw_status finish(dw__exchange *x, const dw__on_bench *on, dw_error *err) {
  static const dw_book_bench_change cleared = {.photo = "", .marks = "{}"};
  dw_book *book = x->bench->book;
  const json_t *good = json_object_get(x->body, "good");
  const char *note;
  dw_status status = dw_json_text_of(x->body, "note", false, &note, err);
  if (status == DW_OK) status = dw__flag_check(x->body, "good", err);
  if (status == DW_OK) status = check_poured(book, on->row.batch, err);
  if (status == DW_OK && good) status = dw_batch_set_good(book, on->row.batch, json_is_true(good), err);
  if (status == DW_OK && note && *note) status = dw_batch_set_note(book, on->row.batch, note, err);
  if (status == DW_OK) status = dw_book_bench_next(book, on->row.id, err);
  if (status == DW_OK) status = dw_book_bench_set(book, on->row.id, &cleared, err);
  if (status == DW_OK)
    dw_book_entry_say(book, DW_ENTRY_GOOD, on->row.pattern, on->row.batch, "a batch of %s closed%s",
                      on->pattern.name, json_is_true(good) ? " and called good" : "");
  return status;
}

dw_status dw__work_finish_post(dw__exchange *x, dw_error *err) {
  dw__on_bench on;
  dw_status status = dw__on_bench_begin(x, DW__SAW_WORK, &on, err);
  if (status != DW_OK) return status;
  int64_t done = on.row.batch;
  const bool good = json_is_true(json_object_get(x->body, "good"));
  bool read[DW_PATTERN_LAYERS_MAX] = {false};
  const dw_pattern pattern = on.pattern;
  status = finish(x, &on, err);
  if (status == DW_OK) status = dw_batch_layers_read(x->bench->book, &pattern, done, read, err);
  status = dw__on_bench_end(x, &on, status, err);
  if (status != DW_OK) return status;
  x->json = dw_json_with(x->json, "finished_batch", json_integer(done));
  if (good) x->json = dw_json_with(x->json, "good_layers", dw_batch_good_json(&pattern, read));
  return x->json ? DW_OK : dw_fail_memory(err, "the answer");
}

#include "app/bench/desk.h"

#include "app/bench/request.h"
#include "dropwise/batch.h"
#include "dropwise/book_journal.h"

#include <stdlib.h>
#include <string.h>

/* ---- transactions -----------------------------------------------------------------------------------------
 */

static dw_status begin(dw_bench *bench, dw_status (*how)(dw_book *, dw_error *), dw_error *err) {
  pthread_mutex_lock(&bench->book_lock);
  dw_status status = how(bench->book, err);
  if (status != DW_OK) pthread_mutex_unlock(&bench->book_lock);
  return status;
}

dw_status dw__book_begin(dw_bench *bench, dw_error *err) {
  return begin(bench, dw_book_begin, err);
}

dw_status dw__book_begin_aside(dw_bench *bench, dw_error *err) {
  return begin(bench, dw_book_begin_aside, err);
}

dw_status dw__book_begin_reading(dw_bench *bench, dw_error *err) {
  return begin(bench, dw_book_begin_reading, err);
}

dw_status dw__book_end(dw_bench *bench, dw_status status, dw_error *err) {
  if (status == DW_OK) status = dw_book_commit(bench->book, err);
  if (status != DW_OK) dw_book_rollback(bench->book);
  pthread_cond_broadcast(&bench->book_changed);
  pthread_mutex_unlock(&bench->book_lock);
  return status;
}

dw_status dw__book_remove(dw__exchange *x, dw_status (*remove)(dw_book *book, int64_t id, dw_error *err),
                          dw_error *err) {
  dw_status status = dw__book_begin(x->bench, err);
  if (status == DW_OK) status = dw__book_end(x->bench, remove(x->bench->book, dw__id(x, 0), err), err);
  if (status == DW_OK) x->status = MHD_HTTP_NO_CONTENT;
  return status;
}

/* ---- work -------------------------------------------------------------------------------------------------
 */

static void work_free(dw__work *work) {
  dw_work_free(&work->row);
  dw_shelf_free(work->shelf);
  dw_shelf_free(work->held);
}

const dw_shelf *dw__work_held(const dw__work *work) {
  return work->held ? work->held : work->shelf;
}

static dw_status hold_cups(dw_book *book, dw__work *work, dw_error *err) {
  json_t *cups = dw__parsed(work->row.cups);
  dw_status status = DW_OK;
  if (dw_cups_lack(cups, work->shelf)) {
    status = dw_shelf_clone(work->shelf, &work->held, err);
    if (status == DW_OK) status = dw_shelf_hold(book, cups, work->held, err);
  }
  json_decref(cups);
  return status;
}

static dw_status check_revision(dw__exchange *x, bool needed, const dw_work *row, dw_error *err) {
  int64_t revision;
  dw_status status = dw_json_whole_of(x->body, "revision", 0, INT64_MAX, -1, &revision, err);
  if (status != DW_OK) return status;
  if (revision < 0 && needed) return dw_fail(err, DW_USAGE, "\"revision\" is missing.");
  if (revision < 0 || revision == row->revision) return DW_OK;
  x->status = MHD_HTTP_CONFLICT;
  x->json = dw__work_json(row);
  return dw_fail(err, DW_REFUSED, "Somebody else changed this meanwhile; here it is as it is now.");
}

dw_status dw__work_begin(dw__exchange *x, bool needed, dw__work *work, dw_error *err) {
  *work = (dw__work){0};
  dw_book *book = x->bench->book;
  dw_status status = dw__book_begin(x->bench, err);
  if (status != DW_OK) return status;
  status = dw_work_get(book, dw__id(x, 0), &work->row, err);
  if (status == DW_OK) status = check_revision(x, needed, &work->row, err);
  if (status == DW_OK) status = dw_pattern_get(book, work->row.pattern, &work->pattern, err);
  if (status == DW_OK) status = dw_book_mark_get(book, &work->mark, err);
  if (status == DW_OK) status = dw_book_shelf(book, &work->shelf, NULL, err);
  if (status == DW_OK) status = hold_cups(book, work, err);
  if (status == DW_OK) return DW_OK;
  dw__book_end(x->bench, status, err);
  work_free(work);
  return status;
}

static dw_status answer_work(dw__exchange *x, int64_t id, dw_error *err) {
  dw_work now = {0};
  dw_status status = dw_work_get(x->bench->book, id, &now, err);
  if (status == DW_OK && !(x->json = dw__work_json(&now))) status = dw_fail_memory(err, "the work");
  dw_work_free(&now);
  return status;
}

dw_status dw__work_end(dw__exchange *x, dw__work *work, const dw_work_change *change, dw_status status,
                       dw_error *err) {
  if (status == DW_OK && change)
    status = dw_work_save(x->bench->book, work->row.id, work->row.revision, change, err);
  if (status == DW_OK) status = answer_work(x, work->row.id, err);
  status = dw__book_end(x->bench, status, err);
  if (status != DW_OK) { /* what was not kept must not be the answer */
    json_decref(x->json);
    x->json = NULL;
  }
  work_free(work);
  return status;
}

/* ---- JSON -------------------------------------------------------------------------------------------------
 */

json_t *dw__parsed(const char *text) {
  json_t *json = json_loads(text ? text : "null", JSON_DECODE_ANY, NULL);
  return json ? json : json_null();
}

json_t *dw__work_json(const dw_work *w) {
  return json_pack("{s:I, s:I, s:s, s:I, s:o, s:o, s:o, s:o, s:o, s:b, s:s}", "id", (json_int_t)w->id,
                   "revision", (json_int_t)w->revision, "name", w->name, "pattern", (json_int_t)w->pattern,
                   "batch", w->batch ? json_integer(w->batch) : json_null(), "photo",
                   w->photo[0] ? json_string(w->photo) : json_null(), "marks", dw__parsed(w->marks), "cups",
                   dw__parsed(w->cups), "slab", dw__parsed(w->slab), "can_undo", w->can_undo, "updated",
                   w->updated);
}

json_t *dw__color_words_json(dw_lab lab) {
  char words[64];
  dw_color_words(lab, words, sizeof words);
  return json_string(words);
}

static json_t *layer_json(const dw_pattern_layer *l) {
  json_t *out = json_pack("{s:I, s:s, s:o}", "id", (json_int_t)l->id, "name", l->name, "see_through",
                          l->see_through >= 0 ? dw_json_round(l->see_through, 3) : json_null());
  if (l->has_target) {
    out = dw_json_with(out, "target", dw_json_lab(l->target));
    out = dw_json_with(out, "words", dw__color_words_json(l->target));
    out = dw_json_with(out, "target_how", json_string(dw_target_how_words(l->target_how)));
    out = dw_json_with(out, "target_since", json_string(l->target_since));
    out = dw_json_with(out, "uncertainty_de00", dw_json_round(l->target_uncertainty_de00, 2));
  } else {
    out = dw_json_with(out, "target", json_null());
  }
  return out;
}

json_t *dw__pattern_json(const dw_pattern *p) {
  json_t *layers = json_array();
  for (size_t i = 0; i < p->n; i++) layers = dw_json_and(layers, layer_json(&p->layer[i]));
  return json_pack("{s:I, s:s, s:s, s:s, s:I, s:o}", "id", (json_int_t)p->id, "name", p->name, "note",
                   p->note, "created", p->created, "batches", (json_int_t)p->batches, "layers", layers);
}

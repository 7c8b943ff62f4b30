#include "app/bench/desk.h"

#include "app/held.h"
#include "app/values.h"

#include <stdlib.h>
#include <string.h>

/* ---- transactions -----------------------------------------------------------------------------------------
 */

pt_status pt__book_begin(pt_bench *bench, pt_error *err) {
  pthread_mutex_lock(&bench->book_lock);
  pt_status status = pt_book_begin(bench->book, err);
  if (status != PT_OK) pthread_mutex_unlock(&bench->book_lock);
  return status;
}

pt_status pt__book_begin_reading(pt_bench *bench, pt_error *err) {
  pthread_mutex_lock(&bench->book_lock);
  pt_status status = pt_book_begin_reading(bench->book, err);
  if (status != PT_OK) pthread_mutex_unlock(&bench->book_lock);
  return status;
}

pt_status pt__book_end(pt_bench *bench, pt_status status, pt_error *err) {
  if (status == PT_OK) status = pt_book_commit(bench->book, err);
  if (status != PT_OK) pt_book_rollback(bench->book);
  pthread_cond_broadcast(&bench->book_changed);
  pthread_mutex_unlock(&bench->book_lock);
  return status;
}

pt_status pt__book_remove(pt__exchange *x, pt_status (*remove)(pt_book *book, int64_t id, pt_error *err),
                          pt_error *err) {
  pt_status status = pt__book_begin(x->bench, err);
  if (status == PT_OK) status = pt__book_end(x->bench, remove(x->bench->book, pt__id(x, 0), err), err);
  if (status == PT_OK) x->status = MHD_HTTP_NO_CONTENT;
  return status;
}

/* ---- work -------------------------------------------------------------------------------------------------
 */

static void work_free(pt__work *work) {
  pt_work_free(&work->row);
  pt_shelf_free(work->shelf);
  pt_shelf_free(work->held);
}

const pt_shelf *pt__work_held(const pt__work *work) {
  return work->held ? work->held : work->shelf;
}

static pt_status hold_cups(pt_book *book, pt__work *work, pt_error *err) {
  json_t *cups = pt__parsed(work->row.cups);
  pt_status status = PT_OK;
  if (pt__cups_lack(cups, work->shelf)) {
    status = pt_shelf_clone(work->shelf, &work->held, err);
    if (status == PT_OK) status = pt__shelf_hold(book, cups, work->held, err);
  }
  json_decref(cups);
  return status;
}

static pt_status check_revision(pt__exchange *x, bool needed, const pt_work *row, pt_error *err) {
  int64_t revision;
  pt_status status = pt__whole_of(x->body, "revision", 0, INT64_MAX, -1, &revision, err);
  if (status != PT_OK) return status;
  if (revision < 0 && needed) return pt_fail(err, PT_USAGE, "\"revision\" is missing.");
  if (revision < 0 || revision == row->revision) return PT_OK;
  x->status = MHD_HTTP_CONFLICT;
  x->json = pt__work_json(row);
  return pt_fail(err, PT_REFUSED, "Somebody else changed this meanwhile; here it is as it is now.");
}

pt_status pt__work_begin(pt__exchange *x, bool needed, pt__work *work, pt_error *err) {
  *work = (pt__work){0};
  pt_book *book = x->bench->book;
  pt_status status = pt__book_begin(x->bench, err);
  if (status != PT_OK) return status;
  status = pt_work_get(book, pt__id(x, 0), &work->row, err);
  if (status == PT_OK) status = check_revision(x, needed, &work->row, err);
  if (status == PT_OK) status = pt_pattern_get(book, work->row.pattern, &work->pattern, err);
  if (status == PT_OK) status = pt_book_mark_get(book, &work->mark, err);
  if (status == PT_OK) status = pt_book_shelf(book, &work->shelf, NULL, err);
  if (status == PT_OK) status = hold_cups(book, work, err);
  if (status == PT_OK) return PT_OK;
  pt__book_end(x->bench, status, err);
  work_free(work);
  return status;
}

static pt_status answer_work(pt__exchange *x, int64_t id, pt_error *err) {
  pt_work now = {0};
  pt_status status = pt_work_get(x->bench->book, id, &now, err);
  if (status == PT_OK && !(x->json = pt__work_json(&now))) status = pt_fail_memory(err, "the work");
  pt_work_free(&now);
  return status;
}

pt_status pt__work_end(pt__exchange *x, pt__work *work, const pt_work_change *change, pt_status status,
                       pt_error *err) {
  if (status == PT_OK && change)
    status = pt_work_save(x->bench->book, work->row.id, work->row.revision, change, err);
  if (status == PT_OK) status = answer_work(x, work->row.id, err);
  status = pt__book_end(x->bench, status, err);
  if (status != PT_OK) { /* what was not kept must not be the answer */
    json_decref(x->json);
    x->json = NULL;
  }
  work_free(work);
  return status;
}

/* ---- JSON -------------------------------------------------------------------------------------------------
 */

json_t *pt__parsed(const char *text) {
  json_t *json = json_loads(text ? text : "null", JSON_DECODE_ANY, NULL);
  return json ? json : json_null();
}

json_t *pt__work_json(const pt_work *w) {
  return json_pack("{s:I, s:I, s:s, s:I, s:o, s:o, s:o, s:o, s:o, s:b, s:s}", "id", (json_int_t)w->id,
                   "revision", (json_int_t)w->revision, "name", w->name, "pattern", (json_int_t)w->pattern,
                   "batch", w->batch ? json_integer(w->batch) : json_null(), "photo",
                   w->photo[0] ? json_string(w->photo) : json_null(), "marks", pt__parsed(w->marks), "cups",
                   pt__parsed(w->cups), "slab", pt__parsed(w->slab), "can_undo", w->can_undo, "updated",
                   w->updated);
}

json_t *pt__color_words_json(pt_lab lab) {
  char words[64];
  pt_color_words(lab, words, sizeof words);
  return json_string(words);
}

static json_t *layer_json(const pt_pattern_layer *l) {
  json_t *out = json_pack("{s:I, s:s, s:o}", "id", (json_int_t)l->id, "name", l->name, "see_through",
                          l->see_through >= 0 ? pt_json_round(l->see_through, 3) : json_null());
  if (l->has_target) {
    out = pt_json_with(out, "target", pt_json_lab(l->target));
    out = pt_json_with(out, "words", pt__color_words_json(l->target));
    out = pt_json_with(out, "target_how", json_string(pt_target_how_words(l->target_how)));
    out = pt_json_with(out, "target_since", json_string(l->target_since));
    out = pt_json_with(out, "uncertainty_de00", pt_json_round(l->target_uncertainty_de00, 2));
  } else {
    out = pt_json_with(out, "target", json_null());
  }
  return out;
}

json_t *pt__pattern_json(const pt_pattern *p) {
  json_t *layers = json_array();
  for (size_t i = 0; i < p->n; i++) layers = pt_json_and(layers, layer_json(&p->layer[i]));
  return json_pack("{s:I, s:s, s:s, s:s, s:I, s:o}", "id", (json_int_t)p->id, "name", p->name, "note",
                   p->note, "created", p->created, "batches", (json_int_t)p->batches, "layers", layers);
}

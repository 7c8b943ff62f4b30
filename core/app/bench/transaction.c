#include "app/bench/transaction.h"

#include "app/bench/request.h"

static dw_status begin(dw_bench *bench, dw_status (*how)(dw_book *, dw_error *), dw_error *err) {
  pthread_mutex_lock(&bench->book_lock);
  dw_status status = how(bench->book, err);
  if (status != DW_OK) pthread_mutex_unlock(&bench->book_lock);
  return status;
}

dw_status dw__book_begin(dw__exchange *x, dw_error *err) {
  dw_status status = begin(x->bench, dw_book_begin, err);
  if (status == DW_OK) x->bench->changing = x;
  return status;
}

dw_status dw__book_begin_aside(dw_bench *bench, dw_error *err) {
  return begin(bench, dw_book_begin_aside, err);
}

dw_status dw__book_begin_reading(dw_bench *bench, dw_error *err) {
  return begin(bench, dw_book_begin_reading, err);
}

static void give(dw_bench *bench) {
  pthread_cond_broadcast(&bench->book_changed);
  pthread_mutex_unlock(&bench->book_lock);
}

dw_status dw__book_end(dw_bench *bench, dw_status status, dw_error *err) {
  if (status == DW_OK) status = dw_book_commit(bench->book, err);
  if (status != DW_OK) dw_book_rollback(bench->book);
  if (status == DW_OK && bench->changing) bench->changing->changed = true;
  bench->changing = NULL;
  give(bench);
  return status;
}

dw_status dw__pattern_read(dw__exchange *x, dw_pattern *out, dw_error *err) {
  dw_status status = dw__book_begin_reading(x->bench, err);
  if (status != DW_OK) return status;
  return dw__book_end(x->bench, dw__pattern_of(x->bench->book, x->body, out, err), err);
}

dw_status dw__book_open_aside(dw_bench *bench, dw_book **out, dw_error *err) {
  dw_status status = dw_book_open(dw_book_path(bench->book), DW_BOOK_READ, out, err);
  return status == DW_OK ? dw_book_begin_reading(*out, err) : status;
}

dw_status dw__book_remove(dw__exchange *x, dw_status (*remove)(dw_book *book, int64_t id, dw_error *err),
                          dw_error *err) {
  dw_status status = dw__book_begin(x, err);
  if (status == DW_OK) status = dw__book_end(x->bench, remove(x->bench->book, dw__id(x, 0), err), err);
  if (status == DW_OK) x->status = MHD_HTTP_NO_CONTENT;
  return status;
}

dw_status dw__book_step(dw__exchange *x,
                        dw_status (*step)(dw_book *book, int64_t id, dw_entry *out, dw_error *err),
                        int64_t id, dw_entry *out, dw_error *err) {
  pthread_mutex_lock(&x->bench->book_lock);
  dw_status status = step(x->bench->book, id, out, err);
  x->changed = x->changed || status == DW_OK;
  give(x->bench);
  return status;
}

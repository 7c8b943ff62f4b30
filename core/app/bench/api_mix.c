/* Advice and prediction. */
#include "app/bench/on_bench.h"
#include "app/bench/question.h"
#include "app/bench/request.h"

#include <stdlib.h>

/* ---- advise -----------------------------------------------------------------------------------------------
 */

/* What a page shows beside the command line's own keys. */
static json_t *advice_json(const dw_advice_request *request, const dw_advice_result *result) {
  json_t *root = dw_json_advice(request, result);
  size_t i, k;
  json_t *layer, *advice;
  json_array_foreach(json_object_get(root, "layers"), i, layer) {
    bool whole = json_object_set_new(layer, "now_words", dw__color_words_json(result->state[i].now)) == 0;
    json_array_foreach(json_object_get(layer, "advice"), k, advice) whole =
        json_object_set(advice, "see_through", json_object_get(advice, "predicted_see_through")) == 0 &&
        whole;
    if (whole) continue;
    json_decref(root);
    return NULL;
  }
  return root;
}

dw_status dw__advise_post(dw__exchange *x, dw_error *err) {
  dw_shelf *shelf = NULL;
  dw_batch_advice *advice = NULL;
  dw__asker from = {0};
  dw_batch_question *question = calloc(1, sizeof *question);
  dw_status status = question ? dw__shelf_get(x->bench, &shelf, err) : dw_fail_memory(err, "the advice");
  if (status == DW_OK) {
    question->request.shelf = shelf;
    status = dw__question_of(x, &from, question, err);
  }
  if (status == DW_OK) status = dw_batch_advise(question, &advice, err);
  if (status == DW_OK && !(x->json = advice_json(&advice->request, advice->result)))
    status = dw_fail_memory(err, "the advice");
  dw_batch_advice_free(advice);
  dw_book_close(from.book);
  dw_shelf_free(shelf);
  free(question);
  return status;
}

/* ---- predict ----------------------------------------------------------------------------------------------
 */

static dw_status predict(dw__exchange *x, const dw_shelf *shelf, dw_error *err) {
  dw_cup cup;
  dw_slab slab;
  dw_recipe loadings;
  dw_prediction prediction;
  dw_status status = dw_json_cup_of(x->body, shelf, &cup, err);
  if (status == DW_OK) status = dw_json_slab_of(json_object_get(x->body, "slab"), &slab, err);
  if (status != DW_OK) return status;
  dw_cup_loadings(&cup, &loadings);
  status = dw_predict(shelf, &loadings, &slab, &prediction, err);
  if (status == DW_OK && !(x->json = dw_json_prediction(&prediction)))
    status = dw_fail_memory(err, "the prediction");
  return status;
}

dw_status dw__predict_post(dw__exchange *x, dw_error *err) {
  dw_shelf *shelf = NULL;
  dw_status status = dw__shelf_get(x->bench, &shelf, err);
  if (status == DW_OK) status = predict(x, shelf, err);
  dw_shelf_free(shelf);
  return status;
}

/* The requests that every plugin is held to the contract on. */
#include "advise/contract_requests.h"

#include <string.h>

typedef struct layer_row {
  const char *drops; /* NULL: no such layer */
  double volume_floz, capacity_floz;
  dw_lab target;
  double target_see_through;
  const dw_lab *measured;
  const dw_lab *tone; /* the middle of its natural tone; it then has no target of its own */
} layer_row;

typedef struct request_row {
  const char *name;
  layer_row layer[DW_LAYERS_MAX];
  double chroma_share, step_drops;
  size_t max_bottles;
  const char *bottles; /* the only ones on the shelf, "" for none; NULL: the starter shelf */
  bool clean_blends;
} request_row;

static const dw_lab seen = {44, 30, 38}, seen_far = {90, -40, 60}, seen_same = {50, 25, 35};
static const dw_lab tone = {38, 16, 20}, tone_far = {30, -20, -20};

#define CRAWFISH                                                                                             \
  {                                                                                                          \
    {"brown=10;orange=12", 4, 5, {38, 18, 28}, -1, NULL, NULL},                                              \
        {"orange=16", 4, 5, {52, 28, 38}, -1, NULL, NULL}, {                                                 \
      "yellow=8", 4, 5, {72, 6, 45}, -1, NULL, NULL                                                          \
    }                                                                                                        \
  }

static const request_row requests[] = {
    {"three layers", CRAWFISH, 0, 1, 4, NULL, false},
    {"three layers, duller", CRAWFISH, 0.3, 1, 4, NULL, false},
    {"three layers, all color gone", CRAWFISH, 1, 1, 4, NULL, false},
    {"one layer", {{"orange=12", 4, 5, {45, 25, 35}, -1, NULL, NULL}}, 0, 1, 4, NULL, false},
    {"half drops", {{"orange=12", 4, 5, {45, 25, 35}, -1, NULL, NULL}}, 0.2, 0.5, 4, NULL, false},
    {"a syringe", {{"orange=12", 4, 5, {45, 25, 35}, -1, NULL, NULL}}, 0.2, 0, 4, NULL, false},
    {"clear cups",
     {{"", 4, 5, {45, 25, 35}, 0.7, NULL, NULL}, {"", 4, 5, {75, 0, 10}, 0.4, NULL, NULL}},
     0,
     1,
     4,
     NULL,
     false},
    {"clear cups, duller", {{"", 4, 5, {45, 25, 35}, -1, NULL, NULL}}, 0.5, 1, 4, NULL, false},
    {"no bottles",
     {{"", 4, 5, {45, 25, 35}, 0.7, NULL, NULL}, {"", 4, 5, {45, 25, 35}, -1, NULL, NULL}},
     0.3,
     1,
     4,
     "",
     false},
    {"no brown", {{"orange=12", 4, 5, {45, 20, 28}, -1, NULL, NULL}}, 0.3, 1, 4, "orange,yellow,blue", false},
    {"one bottle", {{"white=2", 4, 5, {45, 25, 35}, 0.5, NULL, NULL}}, 0, 1, 4, "white", false},
    {"an effect alone", {{"pearl=6", 4, 5, {80, 0, 0}, 0.5, NULL, NULL}}, 0.3, 1, 4, "pearl", false},
    {"a full cup", {{"orange=12;brown=4", 4, 4.03, {45, 25, 35}, 0.3, NULL, NULL}}, 0.3, 1, 4, NULL, false},
    {"a cup with all its drops",
     {{"orange=40;brown=20", 4, 6, {60, 25, 35}, 0.3, NULL, NULL}},
     0.3,
     1,
     4,
     NULL,
     false},
    {"a cup beyond its bottles",
     {{"orange=4;brown=2;blue=1;red=1;white=1", 4, 5, {60, 25, 35}, -1, NULL, NULL}},
     0,
     1,
     2,
     NULL,
     false},
    {"a thimble", {{"orange=1", 0.05, 0.06, {45, 25, 35}, -1, NULL, NULL}}, 0.3, 1, 4, NULL, false},
    {"a bucket", {{"orange=50", 64, 128, {45, 25, 35}, -1, NULL, NULL}}, 0.3, 1, 4, NULL, false},
    {"twins",
     {{"orange=12", 4, 5, {45, 25, 35}, -1, NULL, NULL}, {"orange=12", 4, 5, {45, 25, 35}, -1, NULL, NULL}},
     0,
     1,
     4,
     NULL,
     false},
    {"out of reach",
     {{"orange=12", 4, 5, {95, 120, 120}, 0, NULL, NULL}, {"white=9", 4, 5, {0, 0, 0}, 1, NULL, NULL}},
     0,
     1,
     4,
     NULL,
     false},
    {"see-through",
     {{"white=8;blue=1", 4, 6, {75, -3, -8}, 0.5, NULL, NULL},
      {"melon-green=3", 4, 6, {45, -10, 10}, 0.9, NULL, NULL}},
     0,
     1,
     4,
     NULL,
     false},
    {"measured",
     {{"orange=12", 4, 5, {50, 25, 35}, -1, &seen, NULL},
      {"orange=12", 4, 5, {50, 25, 35}, -1, &seen_far, NULL},
      {"orange=12", 4, 5, {50, 25, 35}, -1, &seen_same, NULL}},
     0,
     1,
     4,
     NULL,
     false},
    {"eight layers",
     {{"orange=12", 4, 5, {45, 25, 35}, -1, NULL, NULL},
      {"yellow=6", 4, 5, {60, 5, 35}, -1, NULL, NULL},
      {"blue=4", 4, 5, {35, 0, -35}, -1, NULL, NULL},
      {"red=12", 4, 5, {35, 35, 15}, -1, NULL, NULL},
      {"white=6", 4, 5, {80, 0, 0}, 0.5, NULL, NULL},
      {"black=2", 4, 5, {20, 0, 0}, -1, NULL, NULL},
      {"pink=6", 4, 5, {65, 25, 5}, -1, NULL, NULL},
      {"melon-green=6", 4, 5, {40, -20, 10}, -1, NULL, NULL}},
     0.2,
     1,
     4,
     NULL,
     false},
    {"natural tones",
     {{"orange=12", 4, 5, {0, 0, 0}, -1, NULL, &tone},
      {"orange=12", 4, 5, {0, 0, 0}, -1, &seen, &tone_far},
      {"orange=12;brown=9", 4, 5, {38, 16, 20}, -1, NULL, NULL}},
     0,
     1,
     4,
     NULL,
     false},
    {"clean blends",
     {{"blue=12", 4, 5, {30, 5, -40}, -1, NULL, NULL},
      {"orange=16", 4, 5, {52, 28, 38}, -1, NULL, NULL},
      {"white=30", 4, 5, {85, 0, 0}, -1, NULL, NULL},
      {"", 4, 5, {72, 6, 45}, -1, NULL, NULL}},
     0,
     1,
     4,
     NULL,
     true},
};

const size_t dw__contract_requests = sizeof requests / sizeof *requests;

const char *dw__contract_request_name(size_t i) {
  return requests[i].name;
}

dw_status dw__contract_shelf(size_t i, dw_shelf **out, dw_error *err) {
  const char *bottles = requests[i].bottles;
  dw_shelf *all = NULL, *some = NULL;
  dw_status status = dw_shelf_starter(&all, err);
  if (status != DW_OK || !bottles) {
    *out = all;
    return status;
  }
  status = dw_shelf_new(&some, err);
  for (size_t k = 0; status == DW_OK && k < all->n; k++)
    if (*bottles && strstr(bottles, all->bottle[k].id)) some->bottle[some->n++] = all->bottle[k];
  dw_shelf_free(all);
  *out = some;
  return status;
}

static dw_status tone_take(dw_lab middle, dw_layer *out, dw_error *err) {
  const dw_lab around[] = {{middle.L - 2, middle.a, middle.b},
                           {middle.L + 2, middle.a, middle.b},
                           {middle.L, middle.a + 1, middle.b - 2},
                           {middle.L, middle.a - 1, middle.b + 2}};
  out->has_tone = out->no_target = true;
  dw_copy_text(out->tone_name, sizeof out->tone_name, "contract");
  return dw_tone_fit(around, sizeof around / sizeof *around, &out->tone, err);
}

static dw_status layer_make(const layer_row *from, size_t number, const dw_shelf *shelf, dw_layer *out,
                            dw_error *err) {
  snprintf(out->name, sizeof out->name, "layer-%zu", number);
  out->target = from->target;
  out->target_see_through = from->target_see_through;
  out->cup.volume_floz = from->volume_floz;
  out->cup.capacity_floz = from->capacity_floz;
  out->has_measured = from->measured != NULL;
  if (from->measured) out->measured = *from->measured;
  out->measured_uncertainty_de00 = 1.5;
  dw_status status = from->tone ? tone_take(*from->tone, out, err) : DW_OK;
  return status == DW_OK ? dw_recipe_parse(from->drops, shelf, &out->cup.drops, err) : status;
}

dw_status dw__contract_request(size_t i, const dw_shelf *shelf, dw_advice_request *out, dw_error *err) {
  const request_row *row = &requests[i];
  dw_status status = DW_OK;
  *out = (dw_advice_request){.shelf = shelf, .slab = dw_slab_usual(), .chroma_share = row->chroma_share};
  out->rules = dw_rules_default();
  out->rules.step_drops = row->step_drops;
  out->rules.max_bottles = row->max_bottles;
  out->clean_blends = row->clean_blends;
  for (; status == DW_OK && out->n < DW_LAYERS_MAX && row->layer[out->n].drops; out->n++)
    status = layer_make(&row->layer[out->n], out->n + 1, shelf, &out->layer[out->n], err);
  return status;
}

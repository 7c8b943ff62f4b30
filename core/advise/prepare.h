/* A request made ready: what plugins are shown, and what their answers are held to. */
#ifndef DROPWISE_ADVISE_PREPARE_H
#define DROPWISE_ADVISE_PREPARE_H

#include "dropwise/advise.h"

typedef struct dw__case {
  const dw_advice_request *request; /* borrowed */
  dw_layer_state state[DW_LAYERS_MAX];
  dw_cup cup[DW_LAYERS_MAX];     /* the request's; one that its drops make run over is full */
  dw_notes notes;                /* measurements set aside */
  dw_rules rules[DW_LAYERS_MAX]; /* the request's, with each layer's offset */

  dw_request view; /* points into the arrays below */
  dw_layer_view layer[DW_LAYERS_MAX];
  dw_layer_guide guide[DW_LAYERS_MAX];
  dw_bottle_view bottle[DW_SHELF_MAX];
  dw_addition drops[DW_LAYERS_MAX][DW_CUP_BOTTLES_MAX];

  int32_t limit; /* of the last solve, DW_PLUGIN_LIMIT_* */
  char limit_words[DW_NOTE_TEXT];
  bool lacked; /* memory failed while something was solved for the plugin */
} dw__case;

/* Checks the request and fills out; out must not be moved afterwards.
 * Errors DW_BAD_INPUT, naming the layer: cups, colors or rules out of range */
dw_status dw__case_make(const dw_advice_request *request, dw__case *out, dw_error *err);

/* The color that layer i should become when it is to be duller by chroma_share: its hue held, as dark as
 * brown and the cup's own bottles leave it, but not much darker than it is. state[i].now, cup and rules are
 * set. */
dw_lab dw__case_duller(const dw__case *c, size_t i);

/* What may be added of a bottle at the least, in drops. */
double dw__case_step(const dw__case *c, size_t bottle);

/* A layer's cup after additions and clear base; false where these are more bottles than a cup can have. */
bool dw__case_cup(const dw__case *c, size_t layer, const dw_recipe *add, double add_clear_floz, dw_cup *out);

/* The color of a layer's cup after additions and clear base; lab and xyz carry what the measurement showed.
 * Of a bait whose cup is not known nothing added means the same again: the color measured.
 * Errors DW_BAD_INPUT more than fits the model or a cup */
dw_status dw__case_predict(const dw__case *c, size_t layer, const dw_recipe *add, double add_clear_floz,
                           dw_prediction *out, dw_error *err);

/* Where to say which rule was broken: the rest of a sentence that begins with who broke it. text may be NULL.
 */
typedef struct dw__reason {
  char *text;
  size_t room;
} dw__reason;

/* Words the reason; always false, so that `return dw__broken(...)` reads well. */
bool dw__broken(dw__reason why, const char *format, ...) DW_PRINTF(2, 3);

/* A layer's cup can take the additions and clear base: its capacity, and the rules on drops, bottles and
 * base. A cup already beyond a rule may stay there, but go no further. */
bool dw__case_fits(const dw__case *c, size_t layer, const dw_recipe *add, double add_clear_floz,
                   dw__reason why);

/* The callback that tells what lies between two layers (dw_host.blend); ctx is the case. */
int32_t dw__host_blend(void *ctx, uint32_t layer, const dw_plugin_change *first,
                       const dw_plugin_change *second, dw_plugin_blend *out);
/* A plugin's additions as a recipe; false for more or others than there can be. */
bool dw__host_recipe(const dw__case *c, const dw_addition *add, uint32_t n, dw_recipe *out);

/* Fills host with callbacks over the case; for use in the child that runs one plugin. */
void dw__host_make(dw__case *c, dw_host *host);

#endif

/* A request made ready: what plugins are shown, and what their answers are held to. */
#ifndef POURTONE_ADVISE_CASE_H
#define POURTONE_ADVISE_CASE_H

#include "pourtone/advise.h"

typedef struct pt__case {
  const pt_advice_request *request; /* borrowed */
  pt_layer_state state[PT_LAYERS_MAX];
  pt_cup cup[PT_LAYERS_MAX];     /* the request's; one that its drops make run over is full */
  pt_notes notes;                /* measurements set aside */
  pt_rules rules[PT_LAYERS_MAX]; /* the request's, with each layer's offset */

  pt_request view; /* points into the arrays below */
  pt_layer_view layer[PT_LAYERS_MAX];
  pt_bottle_view bottle[PT_SHELF_MAX];
  pt_addition drops[PT_LAYERS_MAX][PT_CUP_BOTTLES_MAX];

  int32_t limit; /* of the last solve, PT_PLUGIN_LIMIT_* */
  char limit_words[PT_NOTE_TEXT];
} pt__case;

/* Checks the request and fills out; out must not be moved afterwards.
 * Errors PT_BAD_INPUT, naming the layer: cups, colors or rules out of range */
pt_status pt__case_make(const pt_advice_request *request, pt__case *out, pt_error *err);

/* The color that layer i should become when it is to be duller by chroma_share: its hue held, as dark as
 * brown and the cup's own bottles leave it, but not much darker than it is. state[i].now, cup and rules are
 * set. */
pt_lab pt__case_duller(const pt__case *c, size_t i);

/* What may be added of a bottle at the least, in drops. */
double pt__case_step(const pt__case *c, size_t bottle);

/* The color of a layer's cup after additions and clear base; lab and xyz carry what the measurement showed.
 * Of a bait whose cup is not known nothing added means the same again: the color measured.
 * Errors PT_BAD_INPUT more than fits the model or a cup */
pt_status pt__case_predict(const pt__case *c, size_t layer, const pt_recipe *add, double add_clear_floz,
                           pt_prediction *out, pt_error *err);

/* Where to say which rule was broken: the rest of a sentence that begins with who broke it. text may be NULL.
 */
typedef struct pt__reason {
  char *text;
  size_t room;
} pt__reason;

/* Words the reason; always false, so that `return pt__broken(...)` reads well. */
bool pt__broken(pt__reason why, const char *format, ...) PT_PRINTF(2, 3);

/* A layer's cup can take the additions and clear base: its capacity, and the rules on drops, bottles and
 * base. A cup already beyond a rule may stay there, but go no further. */
bool pt__case_fits(const pt__case *c, size_t layer, const pt_recipe *add, double add_clear_floz,
                   pt__reason why);

/* Fills host with callbacks over the case; for use in the child that runs one plugin. */
void pt__host_make(pt__case *c, pt_host *host);

#endif

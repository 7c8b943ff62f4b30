/* Dropwise's plugin interface: all that a plugin sees.  Guide: docs/plugin-guide.md
 *
 * A plugin looks at the layers of a bait (each one cup) and proposes additions. It is a shared object that
 * exports one function, dw_plugin_entry. The host runs it in a process of its own, with a time limit; a crash
 * or an endless loop costs that plugin its say and nothing else. Every proposal is checked and every
 * prediction in it computed again by the host.
 *
 * Lifetime  all that is reached through dw_host, dw_request and dw_reply lives until advise returns; keep no
 *           pointer. What a plugin changes in its request changes nothing in the host.
 * Threads   advise is called once per process, on one thread; call the host from that thread only.
 * Limits    5 s (the host may set another), 512 MiB beyond the host's own memory, no growing files; standard
 *           input, output and error are /dev/null (DROPWISE_PLUGIN_STDERR=1 leaves standard error open).
 * Seal      no files, no network, no processes or threads: system calls for them fail with EPERM, from the
 *           first constructor on. The C and C++ libraries can be loaded; link any other into the plugin.
 *
 * Growth    structs that begin with struct_size grow at their end only; struct_size tells how much is there,
 *           and each side reads only that: a plugin works in a host whose header has more fields or fewer
 *           than its own. What version 1.0 had is always there; before reading a later field ask
 *           DW_PLUGIN_HAS. Elements of an array with a size beside it (guide, guide_size) grow the same way;
 *           those of other arrays stay as they are. Ids and numbers never change. Another abi_major is
 *           another interface and is refused; a larger abi_minor only adds. What is marked 1.1 or 1.2 came
 *           with that version. */
#ifndef DROPWISE_PLUGIN_H
#define DROPWISE_PLUGIN_H

#include "dropwise/lab.h"
#include <math.h>
#include <stddef.h>
#include <stdint.h>

#define DW_ABI_MAJOR 1
#define DW_ABI_MINOR 2

/* Whether the other side's struct holds a field. */
#define DW_PLUGIN_HAS(pointer, type, field)                                                                  \
  ((pointer)->struct_size >= offsetof(type, field) + sizeof((pointer)->field))

#ifdef __cplusplus
extern "C" {
#endif

#if defined(__GNUC__)
#define DW_EXPORT __attribute__((visibility("default")))
#else
#define DW_EXPORT
#endif

enum {
  DW_PLUGIN_WORDS = 240,   /* bytes of a sentence, NUL included */
  DW_PLUGIN_ADDS_MAX = 12, /* additions in one proposal */
  DW_PLUGIN_PROPOSALS_MAX = 32,
  DW_PLUGIN_BOTTLES_MAX = 64 /* bottles in a request */
};

/* Return values of host callbacks and of advise. */
enum { DW_PLUGIN_OK = 0, DW_PLUGIN_NOTHING = 1, DW_PLUGIN_ERROR = -1 };

/* ---- what the host shows ---------------------------------------------------------------------------- */

enum {
  DW_BOTTLE_COLOR = 0,
  DW_BOTTLE_BROWN = 1,
  DW_BOTTLE_WHITE = 2,
  DW_BOTTLE_BLACK = 3,
  DW_BOTTLE_EFFECT = 4
};

/* One bottle on the shelf. */
typedef struct dw_bottle_view {
  const char *id, *title; /* never NULL */
  int32_t role;           /* DW_BOTTLE_* */
  int32_t usable;         /* 0: the maker does not want it used; proposals with it are refused */
  double drop_ml;         /* volume of one drop */
  double step_drops;      /* the least amount that can be measured out; additions are whole multiples of it */
  dw_lab lab;             /* how it looks: 4 drops per fl oz, 10 mm thick over gray */
} dw_bottle_view;

/* Drops of one bottle. */
typedef struct dw_addition {
  uint32_t bottle; /* index in dw_request.bottle */
  double drops;    /* >= 0; 0 is passed over */
} dw_addition;

/* One layer: the color aimed for, the color it has, and its cup. Nothing can be taken out of a cup. */
typedef struct dw_layer_view {
  const char *name; /* never NULL */
  dw_lab target;
  dw_lab now;                  /* measured, or predicted when nothing was measured */
  int32_t measured;            /* 1 when now was measured */
  double now_de00;             /* CIEDE2000 from now to target */
  double now_uncertainty_de00; /* doubt of now, one standard deviation; 0 when not known */
  double see_through;          /* contrast ratio of the cup now, predicted: 0 clear, 1 opaque (ISO 6504-3) */
  double target_see_through;   /* wanted contrast ratio, or -1 */
  double dull_share;           /* how much of its chroma now should lose, 0..1; 0: it should not be dulled */
  dw_lab dull_target;          /* the color it then has; equals now when dull_share is 0 */
  double volume_floz;          /* clear base in the cup */
  double room_floz;            /* what the cup could still take, base and drops together */
  uint32_t n_drops;            /* bottles in the cup */
  const dw_addition *drops;    /* what is in it; n_drops of them */
} dw_layer_view;

/* What the host's rules say of a layer (1.1): dw_plugin_guide. */
enum { DW_PLUGIN_TONE_NONE = 0, DW_PLUGIN_TONE_INSIDE = 1, DW_PLUGIN_TONE_OUTSIDE = 2 };
typedef struct dw_layer_guide {
  double leave_de00;       /* up to this difference from its target a layer is left alone */
  double gain_de00;        /* an addition that gains less is not worth it */
  double held_see_through; /* contrast ratio that additions must leave as it is, or -1 */
  int32_t leave;           /* 1: the layer is right as it is */
  int32_t clear;           /* 1: its contrast ratio is near enough the one wanted, or none is wanted */
  int32_t tone;            /* DW_PLUGIN_TONE_*: where now lies with regard to the tone chosen for the layer */
  int32_t leads;           /* 1: no target was given, so target is the color the tone leads to */
  double tone_de00;        /* CIEDE2000 from now to the tone; 0 inside */
  dw_lab tone_lead;      /* now where it is inside, else the nearest natural color of the same hue, or of the
                            nearest one */
  const char *tone_name; /* "" without a tone */
  const char
      *leave_words; /* why it is left alone: "it is 0.5 from its target, too little to correct"; or "" */
} dw_layer_guide;

/* All a plugin is told. Values are finite numbers; arrays have the length given. */
typedef struct dw_request {
  uint32_t struct_size;
  uint32_t n_layers, n_bottles;
  const dw_layer_view *layer;   /* from back to belly */
  const dw_bottle_view *bottle; /* the shelf */
  double chroma_share; /* how much duller the maker asked for, 0..1; the targets are then set by it */
  double thickness_mm, backing; /* the plastic as it is looked at; backing is a reflectance 0..1 */
  double max_drops;             /* in a whole cup; where cups differ in size, of the largest */
  uint32_t max_bottles;         /* different bottles in a whole cup */
  /* since 1.1 */
  const dw_layer_guide *guide; /* n_layers of them, guide_size bytes apart: dw_plugin_guide */
  uint32_t guide_size;
  uint32_t n_values;
  const double *value; /* of the plugin's own parameters, in its order: dw_plugin_value */
  /* since 1.2 */
  int32_t clean_blends; /* 1: the pattern asks that no two neighbors turn muddy where they meet */
} dw_request;

/* ---- what the host can do for a plugin -------------------------------------------------------------- */

#define DW_PLUGIN_SEE_THROUGH_WEIGHT 40.0 /* a contrast ratio 0.05 off weighs as much as CIEDE2000 2 */

/* What to solve for; begin with dw_plugin_aim_at. */
typedef struct dw_plugin_aim {
  uint32_t struct_size;
  dw_lab target;
  double weight_lightness; /* weights on the parts of CIEDE2000, 0..300; 1 each is CIEDE2000 itself */
  double weight_chroma, weight_hue;
  double see_through;        /* contrast ratio wanted */
  double weight_see_through; /* CIEDE2000 units for a contrast ratio off by 1: DW_PLUGIN_SEE_THROUGH_WEIGHT is
                                usual; 0: a cup's own is held */
  const uint8_t *use;        /* n_bottles bytes, 1: may be added; NULL: all */
  uint32_t max_new_bottles;  /* bottles beyond those already in the cup */
  int32_t clear_base;        /* 1: clear base may be added too */
  /* since 1.1 */
  int32_t free_see_through; /* 1: a cup's contrast ratio need not be held where none is asked for */
} dw_plugin_aim;

/* What kept the last solve from its aim. */
enum {
  DW_PLUGIN_LIMIT_NONE = 0, /* reached */
  DW_PLUGIN_LIMIT_DARK = 1, /* nothing dark enough in reach */
  DW_PLUGIN_LIMIT_LIGHT = 2,
  DW_PLUGIN_LIMIT_CHROMA = 3,
  DW_PLUGIN_LIMIT_HUE = 4,
  DW_PLUGIN_LIMIT_FULL = 5,         /* the cup is full */
  DW_PLUGIN_LIMIT_DROPS = 6,        /* the most drops a cup may have */
  DW_PLUGIN_LIMIT_BOTTLES = 7,      /* the most bottles a cup may have */
  DW_PLUGIN_LIMIT_STEP = 8,         /* whole drops are too coarse */
  DW_PLUGIN_LIMIT_SET_ASIDE = 9,    /* a bottle that may not be used */
  DW_PLUGIN_LIMIT_SEE_THROUGH = 10, /* the contrast ratio asked for, or the cup's own, which is held */
  DW_PLUGIN_LIMIT_WORTH = 11        /* more drops than the gain is worth */
};

/* Additions solved for, with what they give (1.1). */
typedef struct dw_plugin_solution {
  uint32_t struct_size; /* set by the plugin */
  uint32_t n;
  dw_addition add[DW_PLUGIN_ADDS_MAX];
  double add_clear_floz;
  dw_lab predicted;
  double see_through;    /* contrast ratio of the cup then */
  double left_de00;      /* CIEDE2000 from predicted to the aim's target */
  int32_t limit;         /* DW_PLUGIN_LIMIT_*: what kept it from its aim */
  char limit_words[240]; /* a sentence, "" when reached */
} dw_plugin_solution;

/* Additions to one cup (1.2). */
typedef struct dw_plugin_change {
  const dw_addition *add;
  uint32_t n;
  double add_clear_floz;
} dw_plugin_change;

/* What lies between a layer and the next one (1.2). */
typedef struct dw_plugin_blend {
  uint32_t struct_size; /* set by the plugin */
  int32_t muddy;        /* 1: on the way from one to the other it turns plainly duller than both */
  int32_t overpowers; /* the layer (0: this one, 1: the next) that drowns the other, far more opaque; or -1 */
  double dull_share; /* by so much of its chroma a blend is duller than the duller of the two; 0: it is not */
  dw_lab end[2];     /* the two layers themselves */
  dw_lab step[3];    /* with 25, 50 and 75% of the second one in the volume */
  double see_through[2]; /* contrast ratios of the two */
} dw_plugin_blend;

/* Every callback takes ctx first. Those that return int32_t give DW_PLUGIN_OK, DW_PLUGIN_NOTHING where said,
 * or DW_PLUGIN_ERROR for arguments out of range; outs are then unchanged. */
typedef struct dw_host {
  uint32_t struct_size, abi_major, abi_minor;
  void *ctx;

  /* Color and contrast ratio a layer's cup will have after n additions and clear base; either out may be
   * NULL. Where the cup was measured, the prediction carries on what was seen. DW_PLUGIN_NOTHING: the cup
   * can't take that much, that many drops or bottles; outs are then unchanged. */
  int32_t (*predict)(void *ctx, uint32_t layer, const dw_addition *add, uint32_t n, double add_clear_floz,
                     dw_lab *lab, double *see_through);

  /* Best additions to a layer's cup for an aim, within all limits. *n holds the room of add on entry, the
   * count on return. add_clear_floz may be NULL when the aim allows none. DW_PLUGIN_NOTHING: to add nothing
   * is best. */
  int32_t (*solve)(void *ctx, uint32_t layer, const dw_plugin_aim *aim, dw_addition *add, uint32_t *n,
                   double *add_clear_floz);

  /* CIEDE2000 between two colors, and its words as seen from the first ("darker, duller") into words, cut to
   * room bytes; words may be NULL. NaN for colors that are no numbers. */
  double (*difference)(void *ctx, dw_lab from, dw_lab to, char *words, uint32_t room);

  /* What kept the last solve from its aim: DW_PLUGIN_LIMIT_*, and a sentence ("" when reached) into words. */
  int32_t (*limit)(void *ctx, char *words, uint32_t room);

  /* since 1.1 */

  /* solve, predict and limit in one. DW_PLUGIN_NOTHING: to add nothing is best; limit and limit_words then
   * still tell why. */
  int32_t (*solution)(void *ctx, uint32_t layer, const dw_plugin_aim *aim, dw_plugin_solution *out);

  /* Where a color lies with regard to a layer's tone: DW_PLUGIN_TONE_*; de00 (or NULL) is how far out. */
  int32_t (*tone)(void *ctx, uint32_t layer, dw_lab color, double *de00);

  /* since 1.2 */

  /* What lies between a layer and the next one after additions to either cup (NULL: none), which may be all that an
   * empty one holds. DW_PLUGIN_NOTHING: one of the cups is empty then, or can't take that much; out is then
   * unchanged. */
  int32_t (*blend)(void *ctx, uint32_t layer, const dw_plugin_change *first, const dw_plugin_change *second,
                   dw_plugin_blend *out);
} dw_host;

/* ---- what a plugin answers -------------------------------------------------------------------------- */

/* One proposal for one layer. Prefilled by the host so that what a plugin leaves out shows: numbers with NaN,
 * counts with the largest one, words without an end. */
typedef struct dw_proposal {
  uint32_t layer;
  uint32_t n_adds;                     /* 0 with no clear base: leave this cup as it is */
  dw_addition add[DW_PLUGIN_ADDS_MAX]; /* each bottle once */
  double add_clear_floz;
  dw_lab predicted; /* what the plugin expects; the host computes its own and tells of a difference */
  char words[DW_PLUGIN_WORDS];   /* one UTF-8 sentence: what it does and why */
  char warning[DW_PLUGIN_WORDS]; /* "" or one sentence: what to mind */
} dw_proposal;

typedef struct dw_reply {
  uint32_t struct_size;
  uint32_t room; /* proposals that fit */
  uint32_t n;    /* proposals made; 0 on entry */
  dw_proposal *proposal;
} dw_reply;

/* A number that the maker may set (1.1): dropwise advise --set ID.NAME=VALUE. */
enum { DW_PLUGIN_PARAMETERS_MAX = 8 };
typedef struct dw_parameter {
  const char *name;  /* a-z, 0-9, '-', '_'; up to 47 */
  const char *words; /* what it is, up to 95 bytes: "how many drops white may be" */
  double least, most, usual;
} dw_parameter;

/* Asked only where the maker names it (--plugin), never among all: one still in the making, or a lesson. */
enum { DW_PLUGIN_ONLY_NAMED = 1 };

/* advise returns DW_PLUGIN_OK with its proposals in reply, DW_PLUGIN_NOTHING when it has nothing to say, or
 * DW_PLUGIN_ERROR, which the maker is told. */
typedef struct dw_plugin {
  uint32_t struct_size, abi_major, abi_minor; /* sizeof(dw_plugin), DW_ABI_MAJOR, DW_ABI_MINOR */
  const char *id;                             /* a-z, 0-9, '-', '_'; up to 47; never changes */
  const char *title;                          /* a few plain words, up to 95 bytes */
  const char *version;                        /* up to 31 bytes */
  int32_t (*advise)(const dw_host *host, const dw_request *request, dw_reply *reply);
  /* since 1.1 */
  uint32_t flags; /* DW_PLUGIN_ONLY_NAMED */
  uint32_t n_parameters;
  const dw_parameter *parameter; /* up to DW_PLUGIN_PARAMETERS_MAX; what the maker may set */
} dw_plugin;

/* Static storage: the plugin's own, for as long as it is loaded. */
DW_EXPORT const dw_plugin *dw_plugin_entry(void);

/* ---- shorthand: ordinary code compiled into the plugin, no part of the binary interface ------------- */

/* How much light comes through, in a word, by contrast ratio. */
static inline const char *dw_plugin_see_through_words(double ratio) {
  return ratio < 0.25   ? "nearly clear"
         : ratio < 0.5  ? "see-through"
         : ratio < 0.8  ? "cloudy"
         : ratio < 0.95 ? "nearly solid"
                        : "solid";
}

/* The host's rules for a layer; NULL from a host of version 1.0. */
static inline const dw_layer_guide *dw_plugin_guide(const dw_request *request, uint32_t layer) {
  if (!DW_PLUGIN_HAS(request, dw_request, guide_size)) return NULL;
  return (const dw_layer_guide *)(const void *)((const char *)request->guide +
                                                (size_t)layer * request->guide_size);
}

/* What the maker set parameter i to, or what is usual. */
static inline double dw_plugin_value(const dw_request *request, const dw_parameter *parameter, uint32_t i) {
  int told = DW_PLUGIN_HAS(request, dw_request, value) && i < request->n_values;
  return told ? request->value[i] : parameter[i].usual;
}

static inline double dw_plugin_chroma(dw_lab color) {
  return hypot(color.a, color.b);
}

/* Degrees the hue turns between two colors, -180..180; above 0 from red toward yellow, green and blue. */
static inline double dw_plugin_hue_turn(dw_lab from, dw_lab to) {
  double cross = from.a * to.b - from.b * to.a, dot = from.a * to.a + from.b * to.b;
  return atan2(cross, dot) * 57.29577951308232;
}

/* The plain aim: nearest in CIEDE2000, any bottle, up to 4 new ones, clear base allowed. */
static inline dw_plugin_aim dw_plugin_aim_at(dw_lab target) {
  dw_plugin_aim aim = {(uint32_t)sizeof aim, target, 1, 1, 1, 0, 0, NULL, 4, 1, 0};
  return aim;
}

/* The aim of a layer that is to be duller: chroma first, hue held firmly, lightness nearly free, no clear
 * base; it becomes the layer's dull_target. use as in dw_plugin_aim. */
static inline dw_plugin_aim dw_plugin_aim_duller(const dw_layer_view *layer, const uint8_t *use) {
  dw_plugin_aim aim = {(uint32_t)sizeof aim, layer->dull_target, 0.1, 1, 2, 0, 0, use, 1, 0, 0};
  return aim;
}

/* Marks what may be added in use: the bottles that are in the layer's cup already, and none else. */
static inline void dw_plugin_use_own(const dw_request *request, uint32_t layer,
                                     uint8_t use[DW_PLUGIN_BOTTLES_MAX]) {
  for (uint32_t i = 0; i < DW_PLUGIN_BOTTLES_MAX; i++) use[i] = 0;
  for (uint32_t i = 0; i < request->layer[layer].n_drops; i++) use[request->layer[layer].drops[i].bottle] = 1;
}

/* Drops of a bottle in a proposal, 0 when it adds none. */
static inline double dw_plugin_drops(const dw_proposal *proposal, uint32_t bottle) {
  for (uint32_t i = 0; i < proposal->n_adds; i++)
    if (proposal->add[i].bottle == bottle) return proposal->add[i].drops;
  return 0;
}

/* Begins a proposal that leaves a layer as it is; fill in the rest. NULL when the reply is full. */
static inline dw_proposal *dw_plugin_propose(const dw_request *request, dw_reply *reply, uint32_t layer) {
  if (reply->n >= reply->room) return NULL;
  dw_proposal *p = &reply->proposal[reply->n++];
  p->layer = layer;
  p->n_adds = 0;
  p->add_clear_floz = 0;
  p->predicted = request->layer[layer].now;
  p->words[0] = p->warning[0] = '\0';
  return p;
}

/* Solves for an aim and begins a proposal with the additions and the color to come; give it words. NULL when
 * to add nothing is best, the solve failed, or the reply is full. */
static inline dw_proposal *dw_plugin_solve(const dw_host *host, const dw_request *request, dw_reply *reply,
                                           uint32_t layer, const dw_plugin_aim *aim) {
  dw_addition add[DW_PLUGIN_ADDS_MAX];
  uint32_t n = DW_PLUGIN_ADDS_MAX;
  double clear_floz = 0;
  dw_lab to_come;
  if (host->solve(host->ctx, layer, aim, add, &n, &clear_floz) != DW_PLUGIN_OK) return NULL;
  if (host->predict(host->ctx, layer, add, n, clear_floz, &to_come, NULL) != DW_PLUGIN_OK) return NULL;
  dw_proposal *p = dw_plugin_propose(request, reply, layer);
  if (!p) return NULL;
  for (uint32_t i = 0; i < n; i++) p->add[i] = add[i];
  p->n_adds = n;
  p->add_clear_floz = clear_floz;
  p->predicted = to_come;
  return p;
}

#ifdef __cplusplus
}
#endif

#endif

/* Advice: plugins found, checked, run apart, their proposals checked and ranked. */
#ifndef DROPWISE_ADVISE_H
#define DROPWISE_ADVISE_H

#include "dropwise/correct.h"
#include "dropwise/drift.h"
#include "dropwise/names.h"
#include "dropwise/plugin.h"

enum { DW_LAYERS_MAX = 8, DW_ADVICE_MAX = 64, DW_PLUGINS_MAX = 64, DW_VERSION_ROOM = 32 };
#define DW_PLUGIN_LIMIT_S 5.0 /* how long a plugin may take when the caller names no limit */

/* A number that a plugin lets the maker set. */
typedef struct dw_parameter_info {
  char name[DW_ID_ROOM], words[DW_TITLE_ROOM]; /* UTF-8 without control characters */
  double least, most, usual;
  bool told; /* set for this command alone, by dw_plugins_set: */
  double value;
} dw_parameter_info;

/* A plugin file: usable, or refused and why. */
typedef struct dw_plugin_entry_info {
  char path[512];                                                      /* absolute, links resolved */
  char id[DW_ID_ROOM], title[DW_TITLE_ROOM], version[DW_VERSION_ROOM]; /* UTF-8 without control characters */
  bool usable;
  bool lost; /* refused since it could not be looked at: not loaded, or its process ended without a word */
  bool only_named; /* asked only where the request names it: DW_PLUGIN_ONLY_NAMED */
  size_t n_parameters;
  dw_parameter_info parameter[DW_PLUGIN_PARAMETERS_MAX];
  char why[256]; /* refused: a sentence */
} dw_plugin_entry_info;

typedef struct dw_plugins {
  size_t n;
  dw_plugin_entry_info entry[DW_PLUGINS_MAX]; /* by folder as given, then by file name */
  bool unsealed;  /* the system can't seal them: they run with the maker's rights */
  dw_notes notes; /* a folder that can't be read, files left out */
  dw_notes lost;  /* of these the folders that can't be read: advice says so, too */
} dw_plugins;

/* Looks at every *.so of each folder (hidden files aside), each in a child process: a constructor may crash
 * or hang. A folder that is not there is a note, not an error. Two plugins of the same id: the first folder's
 * wins, the other is refused. A file listed twice, by link or folder, is looked at once. What anyone on the
 * machine may change, or what belongs to another user (neither root, nor who runs this, nor the owner of this
 * program), file or folder, is refused.
 * limit_s  per plugin; 0 means DW_PLUGIN_LIMIT_S
 * Errors   DW_NO_MEMORY, DW_IO (no child could be started); out then holds what was found so far */
dw_status dw_plugins_find(const char *const *dirs, size_t n, double limit_s, dw_plugins *out, dw_error *err);

/* Looks at one file in the same way, whatever its name ends in; out then holds it alone. */
dw_status dw_plugins_look(const char *file, double limit_s, dw_plugins *out, dw_error *err);

/* ---- what a maker may set of them ---------------------------------------------------------------------- */

/* A parameter as the maker names it, "ID.NAME": its plugin's place and its own there.
 * Errors DW_USAGE no such plugin or parameter */
dw_status dw_parameter_find(const dw_plugins *plugins, const char *name, size_t *plugin, size_t *parameter,
                            dw_error *err);
/* The value that text gives parameter i.  Errors DW_USAGE no number, or out of its range */
dw_status dw_parameter_parse(const dw_plugin_entry_info *plugin, size_t i, const char *text, double *value,
                             dw_error *err);
/* Sets one for what is asked with these plugins: "ID.NAME=VALUE". It goes before what is kept.
 * Errors DW_USAGE as the two above */
dw_status dw_plugins_set(dw_plugins *plugins, const char *assignment, dw_error *err);
/* The value of a plugin's parameter i: what it was set to, else what is kept under "ID.NAME" if that lies in
 * its range, else the usual.  kept  NULL: nothing */
double dw_parameter_value(const dw_plugin_entry_info *plugin, size_t i, const dw_numbers *kept);

/* One layer to advise on. */
typedef struct dw_layer {
  char name[DW_ID_ROOM];
  dw_lab target;
  bool no_target;           /* only with chroma_share above 0, which dulls the color it has, or with a tone */
  double target_doubt_de00; /* how well the target itself is known; 0: not said */
  bool has_tone;            /* without a target the layer is led to the tone; else it goes by its target */
  dw_tone_range tone;
  char tone_name[DW_TITLE_ROOM];
  bool has_measured;
  dw_lab measured;
  double measured_uncertainty_de00;
  double target_see_through; /* contrast ratio, -1 when not asked */
  dw_cup cup;
  /* For a fresh cup: what an earlier one of the layer was predicted to give and gave. It is carried into what
   * is predicted of this one, as a measurement of its own would be. */
  bool has_earlier;
  dw_lab earlier_predicted, earlier_gave;
} dw_layer;

/* A proposal of the host's own: predicted and ranked with the plugins', not held to the limits on drops and
 * bottles. */
typedef struct dw_own_proposal {
  size_t layer;
  char id[DW_ID_ROOM], title[DW_TITLE_ROOM]; /* as a plugin's */
  dw_recipe add;
  char words[DW_PLUGIN_WORDS];
} dw_own_proposal;

typedef struct dw_advice_request {
  const dw_shelf *shelf; /* borrowed */
  dw_slab slab;
  size_t n;
  dw_layer layer[DW_LAYERS_MAX]; /* from back to belly */
  double chroma_share;           /* how much duller than now is wanted, 0..1; 0: as the targets say */
  bool clean_blends;             /* no two neighbors are to turn muddy where they meet */
  dw_rules rules;                /* limits for every cup; offsets are set per layer by the host */
  const char *const *only;       /* plugin ids to ask; NULL: all but those that want to be named */
  size_t n_only;
  double limit_s;  /* per plugin; 0 means DW_PLUGIN_LIMIT_S */
  dw_numbers kept; /* plugins' parameters as the book keeps them, by "ID.NAME" */
  size_t n_own;
  dw_own_proposal own[DW_LAYERS_MAX];
} dw_advice_request;

/* A proposal that passed every check. No additions and no clear base: leave this cup as it is. */
enum { DW_ALSO_MAX = 4 };
typedef struct dw_advice {
  char plugin[DW_ID_ROOM], title[DW_TITLE_ROOM];
  size_t n_also;
  char also[DW_ALSO_MAX][DW_ID_ROOM]; /* plugins that propose the same */
  size_t layer;
  dw_recipe add; /* drops; each bottle once */
  double add_clear_floz;
  dw_prediction predicted;     /* the host's own; lab and xyz carry what the measurement showed */
  double predicted_de00;       /* to the layer's aim */
  char words[DW_PLUGIN_WORDS]; /* the plugin's sentence; UTF-8 without control characters */
  dw_notes notes;              /* the plugin's warning, the prediction's notes */
} dw_advice;

/* What to do instead where no addition brings a cup near its aim. */
typedef enum dw_way {
  DW_WAY_FRESH, /* mix it anew from clear base */
  DW_WAY_PART,  /* part of this cup starts a new one */
  DW_WAY_BIGGER /* go on in a cup that holds more */
} dw_way;
enum { DW_WAYS_MAX = 3 };
typedef struct dw_instead {
  dw_way way;
  double keep_floz;     /* of this cup's base, with its drops */
  double base_floz;     /* clear base to add to it */
  double capacity_floz; /* what the cup must hold */
  dw_recipe add;        /* drops */
  dw_lab predicted;
  double predicted_de00; /* to the layer's aim */
  double take_floz;      /* DW_WAY_PART: what is taken of this cup, base and drops */
} dw_instead;

typedef struct dw_layer_state {
  /* What all distances are to: the target or, with chroma_share, the color that the cup has now (the target,
   * where there is neither cup nor bait yet) with so much less chroma, and as dark as brown leaves it. */
  dw_lab aim;
  dw_lab now;    /* measured or predicted */
  bool measured; /* now is what was measured; a color that is far off (dw_pour_miss) is set aside and noted */
  double now_de00;
  double see_through;
  dw_prediction predicted_now; /* of the cup as it is, whatever was measured */
  /* How the difference is judged: by the reading's and the target's doubt where the color was measured. */
  dw_judged judged;
  bool leads;    /* no target was given: the aim is where the tone leads */
  bool has_tone; /* the layer's, of the color now: */
  dw_tone_spot tone;
  double target_out; /* how far the target lies outside the tone, CIEDE2000; 0 inside or without either */
  bool leave; /* right as it is, in color and (where one is wanted) in contrast ratio: to leave it is the
                 first advice */
  bool cup_unknown; /* a bait was measured, its cup not told: advice is a recipe for a fresh one */
  size_t n_instead; /* 0 unless the best additions end far from the aim and there are better ways */
  dw_instead instead[DW_WAYS_MAX];
} dw_layer_state;

/* A plugin that failed, or some of whose proposals were refused. */
typedef struct dw_plugin_fault {
  char plugin[DW_ID_ROOM];
  char why[DW_NOTE_TEXT]; /* a sentence that names it */
} dw_plugin_fault;

typedef struct dw_advice_result {
  dw_layer_state state[DW_LAYERS_MAX]; /* of the request's layers */
  size_t n;
  dw_advice advice[DW_ADVICE_MAX]; /* by layer, best first: see dw_advise */
  size_t n_faults;
  dw_plugin_fault fault[DW_PLUGINS_MAX]; /* every plugin that failed, once */
  dw_notes notes;                        /* the first of these, and what else to know of the advice */
} dw_advice_result;

/* Asks every usable plugin (or those of `only`), each in a child process with a time limit; checks what comes
 * back; predicts each proposal itself; ranks. A plugin that crashes, hangs or lies becomes a fault in the
 * result. Best first: to leave a cup that is right (state.leave); then the lower predicted_de00; between
 * those that can't be told apart (docs/plugin-guide.md) the one that is less work. The same additions from
 * two plugins are one advice. A cup whose drops make it run over counts as full.
 * out      the caller's, by dw_advice_result_free; unchanged on error
 * Errors   DW_NOT_FOUND an id in `only` that is not there; DW_NO_MEMORY; DW_BAD_INPUT from the cups
 * Threads  may be called from several at once, with distinct out and err. It forks; see dropwise/child.h. The
 *          calling thread must outlive the call: the children die with it. */
dw_status dw_advise(const dw_advice_request *request, const dw_plugins *plugins, dw_advice_result **out,
                    dw_error *err);
/* The best advice for a layer, or NULL. */
const dw_advice *dw_advice_first(const dw_advice_result *result, size_t layer);
/* What an empty cup of a layer is filled for: its target, else the middle of its natural tone. */
dw_lab dw_layer_fill_aim(const dw_layer *layer);
/* What a layer's distances are to: "target", "duller color" or "natural tone". Static. */
const char *dw_advice_aim_name(const dw_advice_request *request, const dw_layer_state *state);
/* Why a color that is led to its layer's tone is left alone. */
void dw_layer_leave_words(const dw_layer *layer, dw_lab color, const dw_tone_spot *spot, dw_judged *judged);
/* It adds drops or clear base: it is more than to leave the cup alone. */
bool dw_advice_adds(const dw_advice *advice);
void dw_advice_result_free(dw_advice_result *result); /* NULL is fine */

#endif

/* Advice: plugins found, checked, run apart, their proposals checked and ranked. */
#ifndef POURTONE_ADVISE_H
#define POURTONE_ADVISE_H

#include "pourtone/mix.h"
#include "pourtone/plugin.h"

enum { PT_LAYERS_MAX = 8, PT_ADVICE_MAX = 64, PT_PLUGINS_MAX = 64, PT_VERSION_ROOM = 32 };
#define PT_PLUGIN_LIMIT_S 5.0 /* how long a plugin may take when the caller names no limit */

/* A plugin file: usable, or refused and why. */
typedef struct pt_plugin_entry_info {
  char path[512];                                                      /* absolute, links resolved */
  char id[PT_ID_ROOM], title[PT_TITLE_ROOM], version[PT_VERSION_ROOM]; /* UTF-8 without control characters */
  bool usable;
  bool only_named; /* asked only where the request names it: it exports pt_plugin_only_named */
  char why[256];   /* refused: a sentence */
} pt_plugin_entry_info;

typedef struct pt_plugins {
  size_t n;
  pt_plugin_entry_info entry[PT_PLUGINS_MAX]; /* by folder as given, then by file name */
  pt_notes notes;                             /* a folder that can't be read, a file anyone may change */
} pt_plugins;

/* Looks at every *.so of each folder (hidden files aside), each in a child process: a constructor may crash
 * or hang. A folder that is not there is a note, not an error. Two plugins of the same id: the first folder's
 * wins, the other is refused. A file listed twice, by link or folder, is looked at once. limit_s  per plugin;
 * 0 means PT_PLUGIN_LIMIT_S Errors   PT_NO_MEMORY, PT_IO (no child could be started); out then holds what was
 * found so far */
pt_status pt_plugins_find(const char *const *dirs, size_t n, double limit_s, pt_plugins *out, pt_error *err);

/* One layer to advise on. */
typedef struct pt_layer {
  char name[PT_ID_ROOM];
  pt_lab target;
  bool no_target;           /* dull the color it has, whatever that is; only with chroma_share above 0 */
  double target_doubt_de00; /* how well the target itself is known; 0: not said */
  bool has_measured;
  pt_lab measured;
  double measured_uncertainty_de00;
  double target_see_through; /* contrast ratio, -1 when not asked */
  pt_cup cup;
} pt_layer;

typedef struct pt_advice_request {
  const pt_shelf *shelf; /* borrowed */
  pt_slab slab;
  size_t n;
  pt_layer layer[PT_LAYERS_MAX]; /* from back to belly */
  double chroma_share;           /* how much duller than now is wanted, 0..1; 0: as the targets say */
  pt_rules rules;                /* limits for every cup; offsets are set per layer by the host */
  const char *const *only;       /* plugin ids to ask; NULL: all but those that want to be named */
  size_t n_only;
  double limit_s; /* per plugin; 0 means PT_PLUGIN_LIMIT_S */
} pt_advice_request;

/* A proposal that passed every check. No additions and no clear base: leave this cup as it is. */
enum { PT_ALSO_MAX = 4 };
typedef struct pt_advice {
  char plugin[PT_ID_ROOM], title[PT_TITLE_ROOM];
  size_t n_also;
  char also[PT_ALSO_MAX][PT_ID_ROOM]; /* plugins that propose the same */
  size_t layer;
  pt_recipe add; /* drops; each bottle once */
  double add_clear_floz;
  pt_prediction predicted;     /* the host's own; lab and xyz carry what the measurement showed */
  double predicted_de00;       /* to the layer's aim */
  char words[PT_PLUGIN_WORDS]; /* the plugin's sentence; UTF-8 without control characters */
  pt_notes notes;              /* the plugin's warning, the prediction's notes */
} pt_advice;

/* What to do instead where no addition brings a cup near its aim. */
typedef enum pt_way {
  PT_WAY_FRESH, /* mix it anew from clear base */
  PT_WAY_PART,  /* part of this cup starts a new one */
  PT_WAY_BIGGER /* go on in a cup that holds more */
} pt_way;
enum { PT_WAYS_MAX = 3 };
typedef struct pt_instead {
  pt_way way;
  double keep_floz;     /* of this cup's base, with its drops */
  double base_floz;     /* clear base to add to it */
  double capacity_floz; /* what the cup must hold */
  pt_recipe add;        /* drops */
  pt_lab predicted;
  double predicted_de00; /* to the layer's aim */
  double take_floz;      /* PT_WAY_PART: what is taken of this cup, base and drops */
} pt_instead;

typedef struct pt_layer_state {
  /* What all distances are to: the target or, with chroma_share, the color that the cup has now (the target,
   * where there is neither cup nor bait yet) with so much less chroma, and as dark as brown leaves it. */
  pt_lab aim;
  pt_lab now;    /* measured or predicted */
  bool measured; /* now is what was measured; a color that is far off (pt_pour_miss) is set aside and noted */
  double now_de00;
  double see_through;
  pt_prediction predicted_now; /* of the cup as it is, whatever was measured */
  bool cup_unknown;            /* a bait was measured, its cup not told: advice is a recipe for a fresh one */
  size_t n_instead; /* 0 unless the best additions end far from the aim and there are better ways */
  pt_instead instead[PT_WAYS_MAX];
} pt_layer_state;

/* A plugin that failed, or some of whose proposals were refused. */
typedef struct pt_plugin_fault {
  char plugin[PT_ID_ROOM];
  char why[PT_NOTE_TEXT]; /* a sentence that names it */
} pt_plugin_fault;

typedef struct pt_advice_result {
  pt_layer_state state[PT_LAYERS_MAX]; /* of the request's layers */
  size_t n;
  pt_advice advice[PT_ADVICE_MAX]; /* by layer, best first: see pt_advise */
  size_t n_faults;
  pt_plugin_fault fault[PT_PLUGINS_MAX]; /* every plugin that failed, once */
  pt_notes notes;                        /* the first of these, and what else to know of the advice */
} pt_advice_result;

/* Asks every usable plugin (or those of `only`), each in a child process with a time limit; checks what comes
 * back; predicts each proposal itself; ranks. A plugin that crashes, hangs or lies becomes a fault in the
 * result. Best first: the lower predicted_de00; between those that can't be told apart (docs/plugin-guide.md)
 * the one that is less work. The same additions from two plugins are one advice. A cup whose drops make it
 * run over counts as full. out      the caller's, by pt_advice_result_free; unchanged on error Errors
 * PT_NOT_FOUND an id in `only` that is not there; PT_NO_MEMORY; PT_BAD_INPUT from the cups Threads  may be
 * called from several at once, with distinct out and err. It forks; see pourtone/child.h. The calling thread
 * must outlive the call: the children die with it. */
pt_status pt_advise(const pt_advice_request *request, const pt_plugins *plugins, pt_advice_result **out,
                    pt_error *err);
void pt_advice_result_free(pt_advice_result *result); /* NULL is fine */

#endif

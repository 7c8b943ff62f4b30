/* Pourtone's plugin interface: all that a plugin sees.
 *
 * A plugin looks at the layers of a bait (each one cup) and proposes additions. It is a shared object that
 * exports one function, pt_plugin_entry. The host runs it in a process of its own, with a time limit; a crash
 * or an endless loop costs that plugin its say and nothing else. Every prediction in a reply is computed
 * again by the host.
 *
 * Lifetime  everything reached through pt_host, pt_request and pt_reply lives until advise returns; keep no
 * pointer. Threads   advise is called once per process, on one thread. Growth    structs grow at their end
 * only; struct_size tells how much is there; ids and numbers never change. Another abi_major is another
 * interface and is refused. */
#ifndef POURTONE_PLUGIN_H
#define POURTONE_PLUGIN_H

#include "pourtone/lab.h"
#include <stdint.h>

#define PT_ABI_MAJOR 1
#define PT_ABI_MINOR 0

#if defined(__GNUC__)
#define PT_EXPORT __attribute__((visibility("default")))
#else
#define PT_EXPORT
#endif

enum {
  PT_PLUGIN_WORDS = 240,   /* bytes of a sentence, NUL included */
  PT_PLUGIN_ADDS_MAX = 12, /* additions in one proposal */
  PT_PLUGIN_PROPOSALS_MAX = 32
};

/* Return values of host callbacks and of advise. */
enum { PT_PLUGIN_OK = 0, PT_PLUGIN_NOTHING = 1, PT_PLUGIN_ERROR = -1 };

/* One bottle on the shelf. */
typedef struct pt_bottle_view {
  const char *id, *title;
  int32_t role; /* PT_BOTTLE_* */
  double drop_ml;
  pt_lab lab; /* at 4 drops per fl oz, 10 mm over gray: how it looks */
} pt_bottle_view;
enum {
  PT_BOTTLE_COLOR = 0,
  PT_BOTTLE_BROWN = 1,
  PT_BOTTLE_WHITE = 2,
  PT_BOTTLE_BLACK = 3,
  PT_BOTTLE_EFFECT = 4
};

/* Drops of one bottle; `bottle` is its index in pt_request.bottle. */
typedef struct pt_addition {
  uint32_t bottle;
  double drops;
} pt_addition;

/* One layer: the color aimed for, the color it has, and its cup. */
typedef struct pt_layer_view {
  const char *name;
  pt_lab target;
  pt_lab now;                /* measured, or predicted when nothing was measured */
  int32_t measured;          /* 1 when now was measured */
  double now_de00;           /* from now to target */
  double see_through;        /* contrast ratio now: 0 clear, 1 opaque */
  double target_see_through; /* wanted contrast ratio, or -1 */
  double volume_floz;        /* clear base in the cup */
  double room_floz;          /* clear base it could still take */
  uint32_t n_drops;          /* what is in the cup */
  const pt_addition *drops;
} pt_layer_view;

typedef struct pt_request {
  uint32_t struct_size;
  uint32_t n_layers, n_bottles;
  const pt_layer_view *layer; /* from back to belly */
  const pt_bottle_view *bottle;
  double chroma_share; /* how much duller is wanted, 0..1; 0 means: as the target says */
} pt_request;

/* What to solve for; see pt_host.solve. */
typedef struct pt_plugin_aim {
  uint32_t struct_size;
  pt_lab target;
  double weight_lightness, weight_chroma, weight_hue; /* on the parts of CIEDE2000, 1 each is CIEDE2000 */
  double see_through, weight_see_through;             /* contrast ratio; weight 0 ignores it */
  const uint8_t *use;                                 /* n_bottles bytes, 1 = may be added; NULL = all */
  uint32_t max_new_bottles;                           /* bottles beyond those already in the cup */
  int32_t clear_base;                                 /* 1: clear base may be added too */
} pt_plugin_aim;

typedef struct pt_host {
  uint32_t struct_size, abi_major, abi_minor;
  void *ctx;
  /* Color and contrast ratio of a layer's cup after additions (n of them) and clear base. Either out may be
   * NULL. */
  int32_t (*predict)(void *ctx, uint32_t layer, const pt_addition *add, uint32_t n, double add_clear_floz,
                     pt_lab *lab, double *see_through);
  /* Best additions for an aim. *n holds the room of add on entry and the count on return. PT_PLUGIN_NOTHING
   * when leaving the cup alone is best. */
  int32_t (*solve)(void *ctx, uint32_t layer, const pt_plugin_aim *aim, pt_addition *add, uint32_t *n,
                   double *add_clear_floz);
  /* CIEDE2000, and its words ("darker, duller") into out. */
  double (*difference)(void *ctx, pt_lab from, pt_lab to, char *words, uint32_t room);
} pt_host;

/* One proposal for one layer. Prefilled by the host so that what a plugin leaves out shows. */
typedef struct pt_proposal {
  uint32_t layer;
  uint32_t n_adds;
  pt_addition add[PT_PLUGIN_ADDS_MAX];
  double add_clear_floz;
  pt_lab predicted;              /* what the plugin expects; the host computes its own */
  char words[PT_PLUGIN_WORDS];   /* one sentence: what it does and why */
  char warning[PT_PLUGIN_WORDS]; /* "" or what to mind */
} pt_proposal;

typedef struct pt_reply {
  uint32_t struct_size;
  uint32_t room; /* proposals that fit */
  uint32_t n;    /* proposals made */
  pt_proposal *proposal;
} pt_reply;

typedef struct pt_plugin {
  uint32_t struct_size, abi_major, abi_minor;
  const char *id, *title, *version; /* id: a-z, 0-9, '-' */
  int32_t (*advise)(const pt_host *host, const pt_request *request, pt_reply *reply);
} pt_plugin;

PT_EXPORT const pt_plugin *pt_plugin_entry(void);

#endif

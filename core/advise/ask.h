/* Plugins asked for advice, each in a child. */
#ifndef DROPWISE_ADVISE_ASK_H
#define DROPWISE_ADVISE_ASK_H

#include "advise/load.h"
#include "advise/prepare.h"
#include "dropwise/child.h"

/* What a child sends: a block of fixed size in which nothing is to be trusted. */
typedef struct dw__frame {
  uint64_t first; /* DW__FRAME_MARK; a plugin that writes to the pipe itself shifts it */
  dw__report report;
  int32_t returned; /* by advise */
  uint32_t n;
  dw_proposal proposal[DW_PLUGIN_PROPOSALS_MAX];
  uint64_t last; /* DW__FRAME_MARK */
} dw__frame;
#define DW__FRAME_MARK UINT64_C(0x9d7ac43f51e6b208)

typedef struct dw__asked {
  const dw_plugin_entry_info *entry;
  dw__case *c;                            /* the child works on its own copy of it */
  double value[DW_PLUGIN_PARAMETERS_MAX]; /* of the plugin's parameters */
  dw_job job;
  dw__frame frame;
} dw__asked;

/* Asks n plugins; entry and c are set by the caller. Each job and frame then tell how it went. */
dw_status dw__ask(dw__asked *asked, size_t n, double limit_s, dw_error *err);

/* The frame as a whole is one to look into: it came, is unbroken, and the plugin had something to say.
 * False with why = "" when the plugin has nothing to say, else with why = how it failed (the rest of a
 * sentence that begins with its name). */
bool dw__frame_check(const dw__asked *asked, char *why, size_t room);

#endif

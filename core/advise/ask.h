/* Plugins asked for advice, each in a child. */
#ifndef POURTONE_ADVISE_ASK_H
#define POURTONE_ADVISE_ASK_H

#include "advise/case.h"
#include "advise/load.h"
#include "pourtone/child.h"

/* What a child sends: a block of fixed size in which nothing is to be trusted. */
typedef struct pt__frame {
  uint64_t first; /* PT__FRAME_MARK; a plugin that writes to the pipe itself shifts it */
  pt__report report;
  int32_t returned; /* by advise */
  uint32_t n;
  pt_proposal proposal[PT_PLUGIN_PROPOSALS_MAX];
  uint64_t last; /* PT__FRAME_MARK */
} pt__frame;
#define PT__FRAME_MARK UINT64_C(0x9d7ac43f51e6b208)

typedef struct pt__asked {
  const pt_plugin_entry_info *entry;
  pt__case *c; /* the child works on its own copy of it */
  pt_job job;
  pt__frame frame;
} pt__asked;

/* Asks n plugins; entry and c are set by the caller. Each job and frame then tell how it went. */
pt_status pt__ask(pt__asked *asked, size_t n, double limit_s, pt_error *err);

/* The frame as a whole is one to look into: it came, is unbroken, and the plugin had something to say.
 * False with why = "" when the plugin has nothing to say, else with why = how it failed (the rest of a
 * sentence that begins with its name). */
bool pt__frame_check(const pt__asked *asked, char *why, size_t room);

#endif

#include "advise/ask.h"

#include <stdlib.h>
#include <string.h>

enum { AT_ONCE = 2 }; /* side by side: a slow plugin then delays only itself and one other */

/* In the child. */
static void run(void *arg, void *answer) {
  dw__asked *asked = arg;
  dw__frame *frame = answer;
  dw_host host;
  const dw_plugin *plugin = dw__plugin_load(asked->entry->path, &frame->report);
  if (!plugin) return;
  memset(frame->proposal, 0xFF, sizeof frame->proposal); /* NaN, the largest count, words without an end */
  dw__host_make(asked->c, &host);
  asked->c->view.n_values = (uint32_t)asked->entry->n_parameters;
  asked->c->view.value = asked->value;
  dw_reply reply = {sizeof reply, DW_PLUGIN_PROPOSALS_MAX, 0, frame->proposal};
  frame->returned = plugin->advise(&host, &asked->c->view, &reply);
  if (asked->c->lacked) frame->returned = DW_PLUGIN_ERROR; /* it may have left out what could not be solved */
  frame->n = reply.n;
}

dw_status dw__ask(dw__asked *asked, size_t n, double limit_s, dw_error *err) {
  dw_job *jobs = calloc(n ? n : 1, sizeof *jobs);
  if (!jobs) return dw_fail_memory(err, "the plugins' answers");
  for (size_t i = 0; i < n; i++) {
    asked[i].frame.first = asked[i].frame.last = DW__FRAME_MARK;
    jobs[i] = (dw_job){.run = run,
                       .arg = &asked[i],
                       .answer = &asked[i].frame,
                       .answer_size = sizeof asked[i].frame,
                       .limit_s = limit_s,
                       .library = asked[i].entry->path};
  }
  dw_jobs_run(jobs, n, AT_ONCE);
  for (size_t i = 0; i < n; i++) asked[i].job = jobs[i];
  free(jobs);
  return DW_OK;
}

bool dw__frame_check(const dw__asked *asked, char *why, size_t room) {
  const dw__frame *frame = &asked->frame;
  why[0] = '\0';
  if (asked->job.end != DW_END_ANSWERED) {
    dw_job_words(&asked->job, why, room);
  } else if (frame->first != DW__FRAME_MARK || frame->last != DW__FRAME_MARK ||
             !dw__report_sound(&frame->report)) {
    snprintf(why, room, "sent a broken answer");
  } else if (frame->report.verdict != DW__PLUGIN_FINE || strcmp(frame->report.id, asked->entry->id) != 0) {
    snprintf(why, room, "is no longer the plugin that was found; look for plugins again");
  } else if (frame->returned == DW_PLUGIN_NOTHING) {
    return false;
  } else if (frame->returned != DW_PLUGIN_OK) {
    snprintf(why, room, "reports that it failed (code %d)", frame->returned);
  } else if (frame->n > DW_PLUGIN_PROPOSALS_MAX) {
    snprintf(why, room, "claims %u proposals; at most %d fit", frame->n, DW_PLUGIN_PROPOSALS_MAX);
  } else {
    return true;
  }
  return false;
}

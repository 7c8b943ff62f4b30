#include "advise/ask.h"

#include <stdlib.h>
#include <string.h>

enum { AT_ONCE = 2 }; /* side by side: a slow plugin then delays only itself and one other */

/* In the child. */
static void run(void *arg, void *answer) {
  pt__asked *asked = arg;
  pt__frame *frame = answer;
  pt_host host;
  const pt_plugin *plugin = pt__plugin_load(asked->entry->path, &frame->report);
  if (!plugin) return;
  memset(frame->proposal, 0xFF, sizeof frame->proposal); /* NaN, the largest count, words without an end */
  pt__host_make(asked->c, &host);
  pt_reply reply = {sizeof reply, PT_PLUGIN_PROPOSALS_MAX, 0, frame->proposal};
  frame->returned = plugin->advise(&host, &asked->c->view, &reply);
  frame->n = reply.n;
}

pt_status pt__ask(pt__asked *asked, size_t n, double limit_s, pt_error *err) {
  pt_job *jobs = calloc(n ? n : 1, sizeof *jobs);
  if (!jobs) return pt_fail_memory(err, "the plugins' answers");
  for (size_t i = 0; i < n; i++) {
    asked[i].frame.first = asked[i].frame.last = PT__FRAME_MARK;
    jobs[i] = (pt_job){run, &asked[i], &asked[i].frame, sizeof asked[i].frame, limit_s, 0, 0};
  }
  pt_jobs_run(jobs, n, AT_ONCE);
  for (size_t i = 0; i < n; i++) asked[i].job = jobs[i];
  free(jobs);
  return PT_OK;
}

bool pt__frame_check(const pt__asked *asked, char *why, size_t room) {
  const pt__frame *frame = &asked->frame;
  why[0] = '\0';
  if (asked->job.end != PT_END_ANSWERED) {
    pt_job_words(&asked->job, why, room);
  } else if (frame->first != PT__FRAME_MARK || frame->last != PT__FRAME_MARK ||
             !pt__report_sound(&frame->report)) {
    snprintf(why, room, "sent a broken answer");
  } else if (frame->report.verdict != PT__PLUGIN_FINE || strcmp(frame->report.id, asked->entry->id) != 0) {
    snprintf(why, room, "is no longer the plugin that was found; look for plugins again");
  } else if (frame->returned == PT_PLUGIN_NOTHING) {
    return false;
  } else if (frame->returned != PT_PLUGIN_OK) {
    snprintf(why, room, "reports that it failed (code %d)", frame->returned);
  } else if (frame->n > PT_PLUGIN_PROPOSALS_MAX) {
    snprintf(why, room, "claims %u proposals; at most %d fit", frame->n, PT_PLUGIN_PROPOSALS_MAX);
  } else {
    return true;
  }
  return false;
}

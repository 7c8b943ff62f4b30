/* A plugin file opened and looked over: in a child process only. */
#ifndef POURTONE_ADVISE_LOAD_H
#define POURTONE_ADVISE_LOAD_H

#include "pourtone/advise.h"

typedef enum pt__verdict {
  PT__PLUGIN_FINE,
  PT__PLUGIN_NOT_OPENED, /* detail: the loader's words */
  PT__PLUGIN_NO_ENTRY,
  PT__PLUGIN_NULL,
  PT__PLUGIN_SIZE,
  PT__PLUGIN_MAJOR,
  PT__PLUGIN_NO_ADVISE,
  PT__PLUGIN_ID,
  PT__PLUGIN_TEXT,
  PT__VERDICT_COUNT
} pt__verdict;

enum { PT__REPORT_TEXT_MAX = 160 }; /* the longest text of a report */

/* What the child found. The host reads it as foreign: see pt__report_sound. */
typedef struct pt__report {
  uint32_t verdict; /* pt__verdict */
  uint32_t struct_size, abi_major;
  uint32_t only_named; /* 0 or 1 */
  char id[PT_ID_ROOM], title[PT_TITLE_ROOM], version[PT_VERSION_ROOM];
  char detail[PT__REPORT_TEXT_MAX];
} pt__report;

/* Opens path (absolute) and checks what its entry returns. NULL when refused; report tells. */
const pt_plugin *pt__plugin_load(const char *path, pt__report *report);

/* The report is one that pt__plugin_load writes: texts end and are clean, numbers within range. */
bool pt__report_sound(const pt__report *report);

/* Why the file called name is refused, a sentence. */
void pt__report_words(const pt__report *report, const char *name, char *out, size_t room);

#endif

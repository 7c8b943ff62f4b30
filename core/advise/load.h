/* A plugin file opened and looked over: in a child process only. */
#ifndef DROPWISE_ADVISE_LOAD_H
#define DROPWISE_ADVISE_LOAD_H

#include "dropwise/advise.h"

typedef enum dw__verdict {
  DW__PLUGIN_FINE,
  DW__PLUGIN_NOT_OPENED, /* detail: the loader's words */
  DW__PLUGIN_NO_ENTRY,
  DW__PLUGIN_NULL,
  DW__PLUGIN_SIZE,
  DW__PLUGIN_MAJOR,
  DW__PLUGIN_NO_ADVISE,
  DW__PLUGIN_ID,
  DW__PLUGIN_TEXT,
  DW__PLUGIN_PARAMETER, /* detail: which one, and what it lacks */
  DW__VERDICT_COUNT
} dw__verdict;

enum { DW__REPORT_TEXT_MAX = 160 }; /* the longest text of a report */

/* What the child found. The host reads it as foreign: see dw__report_sound. */
typedef struct dw__report {
  uint32_t verdict; /* dw__verdict */
  uint32_t struct_size, abi_major;
  uint32_t only_named; /* 0 or 1 */
  char id[DW_ID_ROOM], title[DW_TITLE_ROOM], version[DW_VERSION_ROOM];
  char detail[DW__REPORT_TEXT_MAX];
  uint32_t n_parameters;
  dw_parameter_info parameter[DW_PLUGIN_PARAMETERS_MAX]; /* nothing told */
} dw__report;

/* Opens path (absolute) and checks what its entry returns. NULL when refused; report tells. */
const dw_plugin *dw__plugin_load(const char *path, dw__report *report);

/* The report is one that dw__plugin_load writes: texts end and are clean, numbers within range. */
bool dw__report_sound(const dw__report *report);

/* Why the file called name is refused, a sentence. */
void dw__report_words(const dw__report *report, const char *name, char *out, size_t room);

#endif

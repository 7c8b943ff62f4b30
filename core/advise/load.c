#include "advise/load.h"
#include "advise/clean.h"

#include <dlfcn.h>
#include <math.h>
#include <string.h>

/* What every plugin has: the fields of version 1.0. */
#define SIZE_1_0 (offsetof(dw_plugin, advise) + sizeof(((dw_plugin *)0)->advise))
/* Longer than any plugin's struct can grow: its size field is not a size. */
enum { STRUCT_SIZE_MAX = 65536 };

static void not_opened(const char *path, dw__report *report) {
  const char *words = dlerror();
  size_t skip = strlen(path);
  if (!words) words = "the loader gave no reason";
  if (strncmp(words, path, skip) == 0 && strncmp(words + skip, ": ", 2) == 0) words += skip + 2;
  report->verdict = DW__PLUGIN_NOT_OPENED;
  dw__text_clean(report->detail, sizeof report->detail, words, sizeof report->detail);
}

/* Text of a plugin: there, not empty, clean, and short enough. */
static bool text_take(char *out, size_t room, const char *text) {
  return text && text[0] && strnlen(text, room) < room && dw__text_clean(out, room, text, room);
}

/* ---- parameters --------------------------------------------------------------------------------------- */

static bool range_sound(const dw_parameter_info *p) {
  return isfinite(p->least) && isfinite(p->most) && p->least < p->most && p->usual >= p->least &&
         p->usual <= p->most;
}

static bool name_twice(const dw_parameter_info *parameter, size_t i) {
  for (size_t k = 0; k < i; k++)
    if (strcmp(parameter[k].name, parameter[i].name) == 0) return true;
  return false;
}

/* What parameter i lacks, or NULL. */
static const char *parameter_take(const dw_parameter *from, size_t i, dw_parameter_info *all) {
  dw_parameter_info *out = &all[i];
  *out = (dw_parameter_info){.least = from->least, .most = from->most, .usual = from->usual};
  if (!text_take(out->name, sizeof out->name, from->name) || !dw_id_valid(out->name))
    return "needs a name of 1 to 47 of a-z, 0-9, '-' and '_'";
  if (name_twice(all, i)) return "has the name of an earlier one";
  if (!text_take(out->words, sizeof out->words, from->words))
    return "needs words, up to 95 bytes of plain text";
  return range_sound(out) ? NULL : "needs numbers least < most, with usual among them";
}

static bool parameters_take(const dw_plugin *plugin, dw__report *report) {
  const char *lacks = NULL;
  uint32_t i = 0;
  if (!DW_PLUGIN_HAS(plugin, dw_plugin, parameter) || plugin->n_parameters == 0) return true;
  if (plugin->n_parameters > DW_PLUGIN_PARAMETERS_MAX || !plugin->parameter) {
    snprintf(report->detail, sizeof report->detail, "there are %u, at most %d are possible",
             plugin->n_parameters, DW_PLUGIN_PARAMETERS_MAX);
    return false;
  }
  for (; i < plugin->n_parameters && !lacks; i++)
    lacks = parameter_take(&plugin->parameter[i], i, report->parameter);
  report->n_parameters = lacks ? 0 : i;
  if (lacks) snprintf(report->detail, sizeof report->detail, "number %u %s", i, lacks);
  return !lacks;
}

/* ---- the plugin --------------------------------------------------------------------------------------- */

static dw__verdict plugin_check(const dw_plugin *plugin, dw__report *report) {
  if (!plugin) return DW__PLUGIN_NULL;
  report->struct_size = plugin->struct_size;
  if (plugin->struct_size < SIZE_1_0 || plugin->struct_size > STRUCT_SIZE_MAX) return DW__PLUGIN_SIZE;
  report->abi_major = plugin->abi_major;
  if (plugin->abi_major != DW_ABI_MAJOR) return DW__PLUGIN_MAJOR;
  if (!plugin->advise) return DW__PLUGIN_NO_ADVISE;
  if (!text_take(report->id, sizeof report->id, plugin->id) || !dw_id_valid(report->id)) return DW__PLUGIN_ID;
  bool titled = text_take(report->title, sizeof report->title, plugin->title);
  bool versioned = text_take(report->version, sizeof report->version, plugin->version);
  if (!titled || !versioned) return DW__PLUGIN_TEXT;
  return parameters_take(plugin, report) ? DW__PLUGIN_FINE : DW__PLUGIN_PARAMETER;
}

const dw_plugin *dw__plugin_load(const char *path, dw__report *report) {
  typedef const dw_plugin *(*entry_function)(void);
  *report = (dw__report){0};
  void *file = dlopen(path, RTLD_NOW | RTLD_LOCAL);
  if (!file) {
    not_opened(path, report);
    return NULL;
  }
  /* ISO C has no conversion from object to function pointer; POSIX dlsym asks for one. */
  void *symbol = dlsym(file, "dw_plugin_entry");
  entry_function entry;
  _Static_assert(sizeof entry == sizeof symbol, "a function pointer fits an object pointer");
  memcpy(&entry, &symbol, sizeof entry);
  if (!entry) {
    report->verdict = DW__PLUGIN_NO_ENTRY;
    /* cppcheck-suppress resourceLeak ; this process is a child that ends with its answer */
    return NULL;
  }
  const dw_plugin *plugin = entry();
  report->verdict = plugin_check(plugin, report);
  if (report->verdict == DW__PLUGIN_FINE && DW_PLUGIN_HAS(plugin, dw_plugin, flags))
    report->only_named = (plugin->flags & DW_PLUGIN_ONLY_NAMED) != 0;
  /* cppcheck-suppress resourceLeak ; as above */
  return report->verdict == DW__PLUGIN_FINE ? plugin : NULL;
}

static bool clean(const char *text, size_t room) {
  char copy[DW__REPORT_TEXT_MAX];
  return dw__text_ends(text, room) && dw__text_clean(copy, sizeof copy, text, room);
}

static bool parameters_sound(const dw__report *report) {
  if (report->n_parameters > DW_PLUGIN_PARAMETERS_MAX) return false;
  for (size_t i = 0; i < report->n_parameters; i++) {
    const dw_parameter_info *p = &report->parameter[i];
    if (!clean(p->name, sizeof p->name) || !dw_id_valid(p->name) || name_twice(report->parameter, i))
      return false;
    if (!clean(p->words, sizeof p->words) || !p->words[0] || !range_sound(p)) return false;
  }
  return true;
}

bool dw__report_sound(const dw__report *report) {
  if (report->verdict >= DW__VERDICT_COUNT || report->only_named > 1) return false;
  if (!parameters_sound(report)) return false;
  bool texts = clean(report->id, sizeof report->id) && clean(report->title, sizeof report->title) &&
               clean(report->version, sizeof report->version) &&
               dw__text_ends(report->detail, sizeof report->detail);
  bool named = dw_id_valid(report->id) && report->title[0] && report->version[0];
  return texts && (named || report->verdict != DW__PLUGIN_FINE);
}

void dw__report_words(const dw__report *report, const char *name, char *out, size_t room) {
  switch ((dw__verdict)report->verdict) {
  case DW__PLUGIN_NOT_OPENED:
    snprintf(out, room, "%s can't be opened as a plugin: %s.", name, report->detail);
    break;
  case DW__PLUGIN_NO_ENTRY:
    snprintf(out, room, "%s has no function dw_plugin_entry; it is no Dropwise plugin.", name);
    break;
  case DW__PLUGIN_NULL:
    snprintf(out, room, "%s: dw_plugin_entry returns nothing; it must return its dw_plugin.", name);
    break;
  case DW__PLUGIN_SIZE:
    snprintf(out, room,
             "%s gives its struct_size as %u; build it again with sizeof(dw_plugin), at least %zu.", name,
             report->struct_size, SIZE_1_0);
    break;
  case DW__PLUGIN_MAJOR:
    snprintf(out, room,
             "%s is made for plugin interface %u, this program has %d; get or build one made for %d.", name,
             report->abi_major, DW_ABI_MAJOR, DW_ABI_MAJOR);
    break;
  case DW__PLUGIN_NO_ADVISE:
    snprintf(out, room, "%s has no advise function; set it in its dw_plugin.", name);
    break;
  case DW__PLUGIN_ID:
    snprintf(out, room, "%s has no usable id; it must be 1 to 47 of a-z, 0-9, '-' and '_'.", name);
    break;
  case DW__PLUGIN_TEXT:
    snprintf(out, room, "%s needs a title (to 95 bytes) and a version (to 31 bytes) of plain text.", name);
    break;
  case DW__PLUGIN_PARAMETER:
    snprintf(out, room, "%s has a parameter that can't be set: %s.", name, report->detail);
    break;
  default:
    out[0] = '\0';
  }
}

/* The numbers that plugins let the maker set. */
#include "dropwise/advise.h"

#include <string.h>

/* ---- by name ------------------------------------------------------------------------------------------- */

/* n of the plugins: there is none. */
static size_t plugin_find(const dw_plugins *plugins, const char *name, size_t n) {
  size_t i = 0;
  for (; i < plugins->n; i++) {
    const dw_plugin_entry_info *entry = &plugins->entry[i];
    if (entry->usable && strlen(entry->id) == n && strncmp(entry->id, name, n) == 0) break;
  }
  return i;
}

static dw_status no_parameter(const dw_plugin_entry_info *plugin, const char *name, dw_error *err) {
  char known[256] = "";
  for (size_t i = 0; i < plugin->n_parameters; i++) {
    size_t used = strlen(known);
    snprintf(known + used, sizeof known - used, "%s%s", used ? ", " : "", plugin->parameter[i].name);
  }
  if (!*known) return dw_fail(err, DW_USAGE, "Plugin %s has nothing that can be set.", plugin->id);
  return dw_fail(err, DW_USAGE, "Plugin %s has no number \"%.47s\" to set; it has %s.", plugin->id, name,
                 known);
}

dw_status dw_parameter_find(const dw_plugins *plugins, const char *name, size_t *plugin, size_t *parameter,
                            dw_error *err) {
  const size_t n = strcspn(name, ".");
  if (name[n] != '.')
    return dw_fail(err, DW_USAGE,
                   "\"%.60s\" names no number of a plugin; write ID.NAME, as dropwise plugins does.", name);
  *plugin = plugin_find(plugins, name, n);
  if (*plugin == plugins->n)
    return dw_fail(err, DW_USAGE,
                   "There is no usable plugin '%.*s'; 'dropwise plugins' lists those there are.",
                   (int)(n < DW_ID_ROOM ? n : DW_ID_ROOM), name);
  const dw_plugin_entry_info *entry = &plugins->entry[*plugin];
  for (*parameter = 0; *parameter < entry->n_parameters; ++*parameter)
    if (strcmp(entry->parameter[*parameter].name, name + n + 1) == 0) return DW_OK;
  return no_parameter(entry, name + n + 1, err);
}

dw_status dw_parameter_parse(const dw_plugin_entry_info *plugin, size_t i, const char *text, double *value,
                             dw_error *err) {
  const dw_parameter_info *p = &plugin->parameter[i];
  if (dw_parse_number_in(text, p->least, p->most, value)) return DW_OK;
  return dw_fail(err, DW_USAGE, "Plugin %s takes a number from %g to %g (usually %g) as %s, not \"%.40s\".",
                 plugin->id, p->least, p->most, p->usual, p->name, text);
}

/* ---- values -------------------------------------------------------------------------------------------- */

dw_status dw_plugins_set(dw_plugins *plugins, const char *assignment, dw_error *err) {
  char name[DW_NUMBER_NAME_ROOM];
  const size_t n = strcspn(assignment, "=");
  size_t plugin, parameter;
  double value;
  if (assignment[n] != '=' || n >= sizeof name)
    return dw_fail(err, DW_USAGE, "A plugin's number is set as ID.NAME=VALUE, not as \"%.60s\".", assignment);
  memcpy(name, assignment, n);
  name[n] = '\0';
  dw_status status = dw_parameter_find(plugins, name, &plugin, &parameter, err);
  if (status == DW_OK)
    status = dw_parameter_parse(&plugins->entry[plugin], parameter, assignment + n + 1, &value, err);
  if (status != DW_OK) return status;
  plugins->entry[plugin].parameter[parameter].told = true;
  plugins->entry[plugin].parameter[parameter].value = value;
  return DW_OK;
}

double dw_parameter_value(const dw_plugin_entry_info *plugin, size_t i, const dw_numbers *kept) {
  const dw_parameter_info *p = &plugin->parameter[i];
  char name[DW_NUMBER_NAME_ROOM];
  if (p->told) return p->value;
  snprintf(name, sizeof name, "%s.%s", plugin->id, p->name);
  const double *value = kept ? dw_numbers_find(kept, name) : NULL;
  return value && *value >= p->least && *value <= p->most ? *value : p->usual;
}

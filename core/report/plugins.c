/* Plugins as they were found, and the contract test of one: as text and as JSON. */
#include "dropwise/report.h"

/* ---- text ---------------------------------------------------------------------------------------------- */

static void text_parameters(const dw_plugin_entry_info *e, const dw_numbers *kept, dw_text *out) {
  for (size_t i = 0; i < e->n_parameters; i++) {
    const dw_parameter_info *p = &e->parameter[i];
    dw_text_add(out, "             --set %s.%s=%g   %g to %g, usually %g: %s\n", e->id, p->name,
                dw_parameter_value(e, i, kept), p->least, p->most, p->usual, p->words);
  }
}

void dw_text_plugins(const dw_plugins *plugins, const dw_numbers *kept, dw_text *out) {
  for (size_t i = 0; i < plugins->n; i++) {
    const dw_plugin_entry_info *e = &plugins->entry[i];
    if (e->usable)
      dw_text_add(out, "%-12s %s, version %s%s\n             %s\n", e->id, e->title, e->version,
                  e->only_named ? "; asked only when named (--plugin)" : "", e->path);
    else
      dw_text_add(out, "refused      %s\n             %s\n", e->path, e->why);
    text_parameters(e, kept, out);
  }
  if (plugins->n == 0) dw_text_add(out, "No plugin was found.\n");
  for (size_t i = 0; i < plugins->notes.n; i++) dw_text_add(out, "%s\n", plugins->notes.text[i]);
}

void dw_text_plugin_checks(const dw_plugin_checks *checks, dw_text *out) {
  const dw_plugin_entry_info *e = &checks->plugin;
  dw_text_add(out, "%s\n", e->path);
  if (e->usable) dw_text_add(out, "%s: %s, version %s\n", e->id, e->title, e->version);
  for (size_t i = 0; i < checks->n; i++) {
    const dw_plugin_check *check = &checks->check[i];
    dw_text_add(out, "  %s  %s\n", check->passed ? "passed" : "FAILED", check->name);
    if (!check->passed) dw_text_add(out, "          %s\n", check->why);
  }
  if (checks->n_passed == checks->n) dw_text_add(out, "All %zu checks passed.\n", checks->n);
}

/* ---- JSON ---------------------------------------------------------------------------------------------- */

json_t *dw_json_parameters(const dw_plugin_entry_info *plugin, const dw_numbers *kept) {
  json_t *list = json_array();
  for (size_t i = 0; i < plugin->n_parameters; i++) {
    const dw_parameter_info *p = &plugin->parameter[i];
    list = dw_json_and(list, json_pack("{s:o, s:o, s:f, s:f, s:f, s:f}", "name", dw_json_text(p->name),
                                       "words", dw_json_text(p->words), "least", p->least, "most", p->most,
                                       "usual", p->usual, "value", dw_parameter_value(plugin, i, kept)));
  }
  return list;
}

json_t *dw_json_plugins(const dw_plugins *plugins, const dw_numbers *kept) {
  json_t *list = json_array();
  for (size_t i = 0; i < plugins->n; i++) {
    const dw_plugin_entry_info *e = &plugins->entry[i];
    list = dw_json_and(list,
                       json_pack("{s:o, s:o, s:o, s:o, s:b, s:b, s:o, s:o}", "path", dw_json_text(e->path),
                                 "id", dw_json_text(e->id), "title", dw_json_text(e->title), "version",
                                 dw_json_text(e->version), "usable", e->usable, "only_named", e->only_named,
                                 "parameters", dw_json_parameters(e, kept), "why", dw_json_text(e->why)));
  }
  return json_pack("{s:o, s:b, s:o}", "plugins", list, "sealed", !plugins->unsealed, "warnings",
                   dw_json_notes(&plugins->notes));
}

json_t *dw_json_plugin_checks(const dw_plugin_checks *checks) {
  const dw_plugin_entry_info *e = &checks->plugin;
  json_t *list = json_array();
  for (size_t i = 0; i < checks->n; i++) {
    const dw_plugin_check *check = &checks->check[i];
    list = dw_json_and(list, json_pack("{s:o, s:b, s:o}", "name", dw_json_text(check->name), "passed",
                                       check->passed, "why", dw_json_text(check->why)));
  }
  return json_pack("{s:o, s:o, s:o, s:o, s:b, s:o}", "path", dw_json_text(e->path), "id", dw_json_text(e->id),
                   "title", dw_json_text(e->title), "version", dw_json_text(e->version), "passed",
                   checks->n_passed == checks->n, "checks", list);
}

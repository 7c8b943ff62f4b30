/* A bottle in numbers and swatches. */
#include "dropwise/report_bottle.h"
#include "report/html.h"

/* Only chips tell a range. */
static bool has_range(const dw_bottle_report *report) {
  return report->bottle && report->bottle->origin == DW_ORIGIN_FITTED && report->kept->loading_least > 0;
}

/* "hides 0.62 of what is behind it, 4 drops per fl oz in 10 mm" */
static void hiding_words(double hiding, dw_text *out) {
  dw_text_add(out, "%s at %g drops per fl oz in %g mm: ", dw_plugin_see_through_words(hiding),
              DW_HIDING_LOADING, DW_HIDING_MM);
  dw_text_see_through(hiding, out);
}

static void range_words(const dw_bottle_report *report, dw_text *out) {
  if (has_range(report))
    dw_text_add(out, "known from %.3g to %.3g drops per fl oz", report->kept->loading_least,
                report->bottle->max_loading);
  else
    dw_text_add(out, "no chips of its own, so no range is known");
}

/* What was learned of the lot at hand. */
static void strength_words(const dw_book_bottle *kept, dw_text *out) {
  dw_text_add(out, "strength %.2f", kept->strength);
  if (kept->strength_sd > 0) dw_text_add(out, " (doubt %.0f%%)", 100 * kept->strength_sd);
  dw_text_add(out, "%s%s", *kept->learned ? ": " : ", as its chips said", kept->learned);
}

static void unknown_words(const dw_bottle_report *report, dw_text *out) {
  char words[DW_NOTE_TEXT];
  dw_bottle_lack_words(report->kept->slug, report->kept->chips > 0, words, sizeof words);
  dw_text_add(out, "%s", words);
}

void dw_text_bottle(const dw_bottle_report *report, const dw_style *style, dw_text *out) {
  if (!report->bottle) {
    dw_text_add(out, "  ! ");
    unknown_words(report, out);
    dw_text_add(out, "\n");
    return;
  }
  for (size_t i = 0; i < DW_SWATCHES; i++) {
    char words[64];
    dw_color_words(report->look->swatch[i].lab, words, sizeof words);
    dw_text_add(out, "  %4.1f drops per fl oz  ", report->look->swatch[i].loading);
    dw_text_swatch(report->look->swatch[i].lab, style, out);
    dw_text_lab(report->look->swatch[i].lab, out);
    dw_text_add(out, "  %s\n", words);
  }
  dw_text_add(out, "  (%g mm over white)\n  ", DW_SWATCH_MM);
  hiding_words(report->look->hiding, out);
  dw_text_add(out, "\n  ");
  range_words(report, out);
  dw_text_add(out, "\n  ");
  strength_words(report->kept, out);
  dw_text_add(out, "\n");
}

json_t *dw_json_swatches(const dw_bottle_look *look) {
  json_t *list = json_array();
  for (size_t i = 0; i < DW_SWATCHES; i++)
    list = dw_json_and(list, json_pack("{s:f, s:o, s:o, s:o, s:s}", "loading", look->swatch[i].loading, "lab",
                                       dw_json_lab(look->swatch[i].lab), "lab_over_black",
                                       dw_json_lab(look->swatch[i].over_black), "see_through",
                                       dw_json_round(look->swatch[i].see_through, 3), "see_through_words",
                                       dw_plugin_see_through_words(look->swatch[i].see_through)));
  return list;
}

json_t *dw_json_bottle(json_t *json, const dw_bottle_report *report) {
  const bool known = report->bottle != NULL;
  json = dw_json_with(json, "known", json_boolean(known));
  json = dw_json_with(json, "look", *report->kept->look ? json_string(report->kept->look) : json_null());
  json = dw_json_with(json, "swatches", known ? dw_json_swatches(report->look) : json_array());
  json = dw_json_with(json, "known_range",
                      has_range(report) ? json_pack("[o, o]", dw_json_round(report->kept->loading_least, 3),
                                                    dw_json_round(report->bottle->max_loading, 3))
                                        : json_null());
  return dw_json_with(json, "hiding",
                      known ? json_pack("{s:o, s:f, s:f}", "see_through",
                                        dw_json_round(report->look->hiding, 3), "loading", DW_HIDING_LOADING,
                                        "thickness_mm", DW_HIDING_MM)
                            : json_null());
}

static void html_swatches(const dw_bottle_look *look, dw_text *out) {
  dw_text_add(out, "<section><h2>%g mm over white</h2><div class=\"three\">", DW_SWATCH_MM);
  for (size_t i = 0; i < DW_SWATCHES; i++) {
    char words[64];
    dw_color_words(look->swatch[i].lab, words, sizeof words);
    dw_text_add(out, "<span><i style=\"background:");
    dw__html_color(look->swatch[i].lab, out);
    dw_text_add(out, "\"></i>%g drops per fl oz<br>%s</span>", look->swatch[i].loading, words);
  }
  dw_text_add(out, "</div></section>");
}

static void html_line(const dw_bottle_report *report, void (*words)(const dw_bottle_report *, dw_text *),
                      dw_text *out) {
  dw_text line = {0};
  words(report, &line);
  dw_text_add(out, "<p>");
  dw_text_html(out, line.data ? line.data : "");
  dw_text_add(out, "</p>");
  out->failed = out->failed || line.failed;
  dw_text_free(&line);
}

static void hiding_line(const dw_bottle_report *report, dw_text *out) {
  hiding_words(report->look->hiding, out);
}

static void strength_line(const dw_bottle_report *report, dw_text *out) {
  strength_words(report->kept, out);
}

dw_status dw_html_bottle(const dw_bottle_report *report, dw_text *out, dw_error *err) {
  dw__html_begin(report->kept->title, out);
  if (!report->bottle) {
    html_line(report, unknown_words, out);
  } else {
    html_swatches(report->look, out);
    html_line(report, hiding_line, out);
    html_line(report, range_words, out);
    html_line(report, strength_line, out);
  }
  dw_text_add(out, "</body></html>\n");
  return out->failed ? dw_fail_memory(err, "the report") : DW_OK;
}

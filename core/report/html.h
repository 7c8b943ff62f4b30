/* What the HTML reports share. */
#ifndef POURTONE_REPORT_HTML_H
#define POURTONE_REPORT_HTML_H

#include "pourtone/report.h"

/* The head of every page, and the start of its body.
 * kind   what the page is, after the title: "cup sheet", or NULL
 * style  the style sheet's text, or its address where a page may hold none of its own */
typedef enum pt__html_style { PT__STYLE_TEXT, PT__STYLE_ADDRESS } pt__html_style;
void pt__html_head(const char *title, const char *kind, pt__html_style how, const char *style, pt_text *out);
/* A report's head and its heading, with the reports' style sheet. */
void pt__html_begin(const char *title, pt_text *out);
void pt__html_cautions(pt_text *out);          /* pt_cautions as a list */
void pt__html_color(pt_lab lab, pt_text *out); /* "#8a5a2b" */

#endif

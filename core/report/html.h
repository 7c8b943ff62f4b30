/* What the HTML reports share. */
#ifndef DROPWISE_REPORT_HTML_H
#define DROPWISE_REPORT_HTML_H

#include "dropwise/report.h"

/* The head of every page, and the start of its body.
 * kind   what the page is, after the title: "cup sheet", or NULL
 * style  the style sheet's text, or its address where a page may hold none of its own */
typedef enum dw__html_style { DW__STYLE_TEXT, DW__STYLE_ADDRESS } dw__html_style;
void dw__html_head(const char *title, const char *kind, dw__html_style how, const char *style, dw_text *out);
/* A report's head and its heading, with the reports' style sheet. */
void dw__html_begin(const char *title, dw_text *out);
void dw__html_cautions(dw_text *out);          /* dw_cautions as a list */
void dw__html_color(dw_lab lab, dw_text *out); /* "#8a5a2b" */
void dw__html_notes(const dw_notes *notes, dw_text *out);
/* "data:image/jpeg;base64,..."  Errors as dw_preview_jpeg */
dw_status dw__html_image(const dw_preview *preview, dw_text *out, dw_error *err);
/* Begins the section that shows a photo: what comes next lies over it.  Errors as dw__html_image */
dw_status dw__html_photo(const dw_preview *preview, dw_text *out, dw_error *err);

#endif

/* What a photo and its decoder say to each other: one message of fixed size each way, over a socket that
 * keeps messages apart. Both ends are of one build. The decoder believes what is asked; its reply, once it
 * has read the photo, may be anything: dw__reply_check.
 *
 * Pixels go through memory that comes with a request (SCM_RIGHTS), made by the asking side and of the size
 * that both compute from the request. */
#ifndef DROPWISE_PHOTO_WIRE_H
#define DROPWISE_PHOTO_WIRE_H

#include "photo/decode.h"

/* The decoder's open files. */
enum { DW__FD_PHOTO = 3, DW__FD_CHANNEL = 4 };

typedef enum dw__ask_kind {
  DW__ASK_OPEN = 1, /* first, once: from here on the decoder is sealed */
  DW__ASK_PATCHES,  /* memory: n rectangles, then their pixels (photo/patches.h) */
  DW__ASK_PREVIEW,  /* memory: the preview's bytes */
  DW__ASK_SPOOL     /* memory: the spool */
} dw__ask_kind;

enum { DW__NAME_ROOM = 4096 };
typedef struct dw__ask {
  char build[64]; /* dw__build */
  dw__ask_kind kind;
  dw_photo_limits limits;              /* open */
  char format[8], name[DW__NAME_ROOM]; /* open: what it was seen to be; what messages call it */
  size_t n;                            /* patches */
  dw__thinning thin;                   /* patches */
  int max_side;                        /* preview */
  dw_rect part;                        /* preview */
  bool keep;                           /* preview: parts are asked for next, halved */
  size_t bytes;                        /* of the memory */
} dw__ask;

typedef struct dw__reply {
  dw_status status;
  char text[sizeof((dw_error *)0)->text]; /* unless DW_OK */
  dw_photo_info info;                     /* with what was noted so far */
} dw__reply;

/* Names the build and the messages' sizes. */
void dw__build(char out[64]);

/* Sends a message, with a file number unless memory is -1. False: the other end is gone. */
bool dw__send(int channel, const void *message, size_t n, int memory);
/* Waits for one message of exactly n bytes; *memory the file that came with it, or -1. False: it is anything
 * else, or the other end is gone. */
bool dw__receive(int channel, void *message, size_t n, int *memory);

/* Whether an info makes sense by itself: sizes, orientation, bits, texts that end. */
bool dw__info_sound(const dw_photo_info *info);
/* Its texts as they can be printed anywhere: no control characters. */
void dw__info_make_plain(dw_photo_info *info);
/* Turns a decoder's reply, whatever it holds, into a status and a sentence, or into info. before  what was
 * known (its sizes can't change), NULL for the first reply; name  of the photo, for messages.
 * Errors the decoder's own; DW_CORRUPT a reply that makes no sense */
dw_status dw__reply_take(const dw__reply *reply, const dw_photo_info *before, const dw_photo_limits *limits,
                         const char *name, dw_photo_info *info, dw_error *err);

#endif

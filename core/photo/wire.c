#include "photo/wire.h"

#include "photo/decode.h"
#include "photo/orient.h"

#include <errno.h>
#include <string.h>
#include <sys/socket.h>
#include <unistd.h>

void dw__build(char out[64]) {
  snprintf(out, 64, "dropwise %s %zu %zu", DW_VERSION, sizeof(dw__ask), sizeof(dw__reply));
}

/* Room for one file number beside a message. */
typedef union room {
  char bytes[CMSG_SPACE(sizeof(int))];
  struct cmsghdr align;
} room;

bool dw__send(int channel, const void *message, size_t n, int memory) {
  struct iovec part = {(void *)(uintptr_t)message, n};
  room beside = {{0}};
  struct msghdr out = {.msg_iov = &part, .msg_iovlen = 1};
  if (memory >= 0) {
    out.msg_control = beside.bytes;
    out.msg_controllen = sizeof beside.bytes;
    struct cmsghdr *head = CMSG_FIRSTHDR(&out);
    *head = (struct cmsghdr){
        .cmsg_len = CMSG_LEN(sizeof(int)), .cmsg_level = SOL_SOCKET, .cmsg_type = SCM_RIGHTS};
    memcpy(CMSG_DATA(head), &memory, sizeof memory);
  }
  ssize_t sent;
  do sent = sendmsg(channel, &out, MSG_NOSIGNAL);
  while (sent < 0 && errno == EINTR);
  return sent == (ssize_t)n;
}

bool dw__receive(int channel, void *message, size_t n, int *memory) {
  struct iovec part = {message, n};
  room beside = {{0}};
  struct msghdr in = {
      .msg_iov = &part, .msg_iovlen = 1, .msg_control = beside.bytes, .msg_controllen = sizeof beside.bytes};
  ssize_t got;
  do got = recvmsg(channel, &in, MSG_CMSG_CLOEXEC);
  while (got < 0 && errno == EINTR);
  *memory = -1;
  const struct cmsghdr *head = got >= 0 ? CMSG_FIRSTHDR(&in) : NULL;
  if (head && head->cmsg_level == SOL_SOCKET && head->cmsg_type == SCM_RIGHTS)
    memcpy(memory, CMSG_DATA(head), sizeof *memory);
  return got == (ssize_t)n && !(in.msg_flags & MSG_TRUNC);
}

/* ---- replies, from a decoder that the photo may have taken over ------------------------------------------
 */

static bool text_ends(const char *text, size_t size) {
  return memchr(text, '\0', size) != NULL;
}

bool dw__info_sound(const dw_photo_info *i) {
  if (i->stored_width < 1 || i->stored_height < 1 || i->stored_width > DW__EDGE_MAX ||
      i->stored_height > DW__EDGE_MAX || i->orientation < 1 || i->orientation > 8 ||
      (i->bits != 8 && i->bits != 16) || i->notes.n > DW_NOTES_MAX)
    return false;
  unsigned char staged;
  memcpy(&staged, &i->staged, 1); /* a bool of other bits than 0 and 1 is no value at all */
  bool swap = dw__orient_swaps(i->orientation);
  bool sound = staged <= 1 && text_ends(i->format, sizeof i->format) && text_ends(i->kind, sizeof i->kind) &&
               text_ends(i->profile, sizeof i->profile) && text_ends(i->taken, sizeof i->taken);
  for (size_t k = 0; k < i->notes.n; k++) sound = sound && text_ends(i->notes.text[k], sizeof *i->notes.text);
  return sound && i->width == (swap ? i->stored_height : i->stored_width) &&
         i->height == (swap ? i->stored_width : i->stored_height);
}

/* dw_note's own rule for what can be printed anywhere. */
static void make_plain(char *text, size_t size) {
  dw_notes fit = {0};
  dw_note(&fit, "%s", text);
  dw_copy_text(text, size, fit.text[0]);
}

void dw__info_make_plain(dw_photo_info *i) {
  make_plain(i->format, sizeof i->format);
  make_plain(i->kind, sizeof i->kind);
  make_plain(i->profile, sizeof i->profile);
  make_plain(i->taken, sizeof i->taken);
  for (size_t k = 0; k < i->notes.n; k++) make_plain(i->notes.text[k], sizeof *i->notes.text);
}

static bool same_picture(const dw_photo_info *a, const dw_photo_info *b) {
  return a->stored_width == b->stored_width && a->stored_height == b->stored_height &&
         a->orientation == b->orientation && a->bits == b->bits && strcmp(a->format, b->format) == 0;
}

dw_status dw__reply_take(const dw__reply *reply, const dw_photo_info *before, const dw_photo_limits *limits,
                         const char *name, dw_photo_info *info, dw_error *err) {
  unsigned status;
  memcpy(&status, &reply->status, sizeof status);
  if (status != DW_OK && status < DW_STATUS_COUNT && memchr(reply->text, '\0', sizeof reply->text))
    return dw_fail(err, (dw_status)status, "%s", reply->text);
  const dw_photo_info *got = &reply->info;
  bool sound = status == DW_OK && dw__info_sound(got) &&
               (double)got->width * got->height <= limits->max_megapixels * 1e6 &&
               (!before || same_picture(before, got));
  if (!sound)
    return dw_fail(err, DW_CORRUPT, "Decoding %s gave what can't be: save it anew as a plain JPEG or PNG.",
                   name);
  *info = *got;
  dw__info_make_plain(info);
  return DW_OK;
}

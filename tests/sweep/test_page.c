/* The 1st, 2nd, 3rd ... allocation or system call of a request to the page's server fails, until the request meets none
 * that does: the answer is whole, or 500 or 503 with a sentence, or the connection is closed; the server lives on, or ends
 * with a sentence; and the book holds what was acknowledged, and nothing that was refused.
 *
 * Use: test_page allocations|calls|reads usual|all SOURCE BINARY
 * Of the system calls the usual sweep does what the routes that write meet. */
#include "run.h"
#include "shop.h"

#include "dropwise/book_aims.h"
#include "dropwise/book_bench.h"

#include <arpa/inet.h>
#include <errno.h>
#include <fcntl.h>
#include <pthread.h>
#include <signal.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/pidfd.h>
#include <sys/socket.h>
#include <sys/wait.h>
#include <unistd.h>

enum { ANSWER_ROOM = 4 << 20, PHOTO_ROOM = 4 << 20 };

typedef struct server {
  const char *binary, *folder;
  sweep_kind kind;
  sweep_watch watch; /* of its system calls, by a thread */
  pthread_t watcher;
  pid_t pid;
  int out, err; /* the pipes' reading ends */
  unsigned port;
} server;

/* ---- the server ---------------------------------------------------------------------------------------- */

static void *watch_server(void *data) {
  server *s = data;
  int pidfd = pidfd_open(s->pid, 0);
  if (pidfd < 0) sweep_give_up("pidfd_open");
  sweep_watch_calls(&s->watch, pidfd, 0);
  close(pidfd);
  return NULL;
}

static void watch_start(server *s, int socket) {
  s->watch = (sweep_watch){.socket = socket, .listener = -1, .call = -1};
  if (s->kind == SWEEP_ALLOCATIONS) return;
  if (pthread_create(&s->watcher, NULL, watch_server, s)) sweep_give_up("a thread");
}

static void server_start(server *s) {
  int out[2], err[2], ends[2] = {-1, -1};
  char program[400], plugins[400], said[500] = "";
  char *const words[] = {program,  "bench",   "--json",    "--port", "0",
                         "--book", "book.db", "--plugins", plugins,  NULL};
  size_t n = 0;
  snprintf(program, sizeof program, "%s/dropwise", s->binary);
  snprintf(plugins, sizeof plugins, "%s/plugins", s->binary);
  sweep_arm(&(sweep_fault){.kind = s->kind, .program = "dropwise-bench"});
  if (pipe2(out, O_CLOEXEC) || pipe2(err, O_CLOEXEC)) sweep_give_up("a pipe");
  if (s->kind != SWEEP_ALLOCATIONS && socketpair(AF_UNIX, SOCK_STREAM | SOCK_CLOEXEC, 0, ends))
    sweep_give_up("a socket");
  s->pid = sweep_start(words, s->folder, out[1], err[1], ends[1], SWEEP_SOCKET);
  if (ends[1] >= 0) close(ends[1]);
  watch_start(s, ends[0]);
  close(out[1]);
  close(err[1]);
  s->out = out[0], s->err = err[0];
  while (n < sizeof said - 1 && !strstr(said, "}\n") && read(s->out, said + n, 1) == 1) said[++n] = '\0';
  const char *port = strstr(said, "127.0.0.1:");
  if (!port) sweep_give_up("the server did not start");
  s->port = (unsigned)atol(port + strlen("127.0.0.1:"));
}

/* Its exit code, or minus the signal; what it said goes to `words`. */
static int server_end(server *s, int sign, char *words, size_t room) {
  int status = 0;
  if (sign) kill(s->pid, sign);
  if (s->kind != SWEEP_ALLOCATIONS) pthread_join(s->watcher, NULL);
  waitpid(s->pid, &status, 0);
  ssize_t n = read(s->err, words, room - 1);
  words[n > 0 ? n : 0] = '\0';
  close(s->out);
  close(s->err);
  return WIFEXITED(status) ? WEXITSTATUS(status) : -WTERMSIG(status);
}

/* The point that fails next; 0: none. */
static void server_aim(server *s, long at) {
  if (s->kind == SWEEP_ALLOCATIONS)
    atomic_store(&sweep_control_get()->at, at);
  else
    atomic_store(&s->watch.at, at);
}

static atomic_long *server_count(server *s) {
  return s->kind == SWEEP_ALLOCATIONS ? &sweep_control_get()->count : &s->watch.count;
}

static bool server_lives(const server *s) {
  siginfo_t about = {0};
  return waitid(P_PID, (id_t)s->pid, &about, WEXITED | WNOHANG | WNOWAIT) == 0 && about.si_pid == 0;
}

/* ---- asking -------------------------------------------------------------------------------------------- */

typedef struct request {
  const char *method, *path, *kind;
  const void *body;
  size_t n;
} request;

static char answer[ANSWER_ROOM];
static size_t n_answer;

static bool send_all(int fd, const void *bytes, size_t n) {
  for (const char *at = bytes; n > 0;) {
    ssize_t sent = send(fd, at, n, MSG_NOSIGNAL);
    if (sent <= 0) return false;
    at += sent;
    n -= (size_t)sent;
  }
  return true;
}

static int connected(const server *s) {
  struct sockaddr_in at = {.sin_family = AF_INET, .sin_port = htons((uint16_t)s->port)};
  struct timeval limit = {60, 0};
  at.sin_addr.s_addr = htonl(INADDR_LOOPBACK);
  int fd = socket(AF_INET, SOCK_STREAM | SOCK_CLOEXEC, 0);
  setsockopt(fd, SOL_SOCKET, SO_RCVTIMEO, &limit, sizeof limit);
  if (fd >= 0 && connect(fd, (struct sockaddr *)&at, sizeof at) == 0) return fd;
  if (fd >= 0) close(fd);
  return -1;
}

/* The status; 0: the connection was closed without an answer. The answer's body is left in `answer`. */
static int ask(const server *s, const request *what) {
  char head[600];
  size_t n = 0;
  ssize_t got;
  int fd = connected(s), status = 0;
  *answer = '\0';
  n_answer = 0;
  if (fd < 0) return 0;
  snprintf(
      head, sizeof head,
      "%s %s HTTP/1.1\r\nHost: 127.0.0.1:%u\r\nX-Dropwise: 1\r\nContent-Type: %s\r\nContent-Length: %zu\r\n"
      "Connection: close\r\n\r\n",
      what->method, what->path, s->port, what->kind, what->n);
  bool sent = send_all(fd, head, strlen(head)) && send_all(fd, what->body, what->n);
  while (n < sizeof answer - 1 && (got = recv(fd, answer + n, sizeof answer - 1 - n, 0)) > 0)
    n += (size_t)got;
  answer[n] = '\0';
  close(fd);
  if (sscanf(answer, "HTTP/1.1 %d", &status) != 1) return 0;
  const char *body = strstr(answer, "\r\n\r\n");
  if (!sent || !body) return 0;
  n_answer = n - (size_t)(body + 4 - answer);
  memmove(answer, body + 4, n_answer + 1);
  return status;
}

static request json_request(const char *method, const char *path, const char *body) {
  return (request){method, path, "application/json", body, strlen(body)};
}

static void must(const server *s, const request *what) {
  int status = ask(s, what);
  if (status >= 200 && status < 300) return;
  fprintf(stderr, "%s %s: %d %.300s\n", what->method, what->path, status, answer);
  exit(2);
}

/* ---- the routes ---------------------------------------------------------------------------------------- */

/* Every time the same; something else, once and again; the pattern "point N" of the number N; one more piece of work. */
typedef enum gives { SAME, CHANGES, NAMES_PATTERN, ADDS_WORK } gives;

typedef struct route {
  const char *method, *path; /* %s: the photo */
  const char *body; /* %ld: a number, so that each asks for something new; "photo": the photo itself */
  gives answer;
  bool writes; /* its system calls are swept in the suite, too */
} route;

#define SHAPE "\"rect:150,420,400,60\""

static const route routes[] = {
    {"POST", "/api/fit", "{}", CHANGES, true},
    {"GET", "/", "", SAME, false},
    {"GET", "/api/state", "", SAME, false},
    {"GET", "/api/settings", "", SAME, false},
    {"GET", "/api/history?most=30", "", SAME, false},
    {"GET", "/api/chips", "", SAME, false},
    {"GET", "/api/work/1", "", SAME, false},
    {"GET", "/api/patterns/1/drift", "", SAME, false},
    {"GET", "/sheet/1", "", SAME, false},
    {"GET", "/api/backup", "", SAME, true},
    {"POST", "/api/photos", "photo", SAME, true},
    {"GET", "/api/photos/%s", "", SAME, false},
    {"GET", "/api/photos/%s/preview?side=400", "", SAME, false},
    {"POST", "/api/photos/%s/light", "{}", SAME, false},
    {"POST", "/api/photos/%s/measure", "{\"shape\": \"rect:600,470,120x30\"}", SAME, false},
    {"POST", "/api/predict", "{\"drops\": {\"orange\": 3}, \"volume_floz\": 4}", SAME, false},
    {"POST", "/api/advise", "{\"pattern\": 1}", SAME, false},
    {"POST", "/api/patterns", "{\"name\": \"point %ld\", \"layers\": [\"back\"]}", NAMES_PATTERN, true},
    {"POST", "/api/work", "{\"pattern\": 1}", ADDS_WORK, true},
    {"PATCH", "/api/settings", "{\"volume\": \"%ldml\"}", CHANGES, true},
};

typedef struct page_sweep {
  server server;
  bool all;
  char sha[65];
  char *photo;
  size_t n_photo;
  long faults, points, ends;
  long asked; /* how often of the route at hand */
  size_t works;
} page_sweep;

static void fault(page_sweep *p, const route *r, long at, const char *words, int status, const char *said) {
  static const char *const kinds[] = {"allocation", "call", "read"};
  const sweep_watch *watch = &p->server.watch;
  printf("FAULT %s %s, %s %ld (number %d, error %d): %s; status %d: %.300s\n", r->method, r->path,
         kinds[p->server.kind], at, watch->call, watch->error, words, status, said);
  fflush(stdout);
  p->faults++;
}

static bool is_sentence(const char *text) {
  size_t n = strlen(text);
  while (n > 0 && text[n - 1] == '\n') n--;
  return n > 20 && text[n - 1] == '.';
}

/* {"error":"There is not enough memory for the book."}, perhaps with more beside it. */
static bool has_sentence(void) {
  const char *start = strstr(answer, "\"error\":\"");
  if (!start) return false;
  const char *end = start += strlen("\"error\":\"");
  while (*end && (*end != '"' || end[-1] == '\\')) end++;
  return end - start > 20 && end[-1] == '.';
}

static int ask_point(page_sweep *p, const route *r, long at, long name) {
  char path[200], body[300];
  snprintf(path, sizeof path, r->path, p->sha);
  snprintf(body, sizeof body, r->body, name);
  request what = json_request(r->method, path, body);
  if (strcmp(r->body, "photo") == 0) what = (request){r->method, path, "image/jpeg", p->photo, p->n_photo};
  atomic_store(server_count(&p->server), 0);
  server_aim(&p->server, at);
  int status = ask(&p->server, &what);
  server_aim(&p->server, 0);
  return status;
}

static void judge_end(page_sweep *p, const route *r, long at) {
  char words[600];
  int code = server_end(&p->server, 0, words, sizeof words);
  p->ends++;
  if (code != 3 || !is_sentence(words)) fault(p, r, at, "the server ended", code, words);
  server_start(&p->server);
}

static dw_book *book_open(const page_sweep *p) {
  char path[200];
  dw_error err;
  dw_book *book = NULL;
  snprintf(path, sizeof path, "%s/book.db", p->server.folder);
  if (dw_book_open(path, DW_BOOK_READ, &book, &err) != DW_OK) sweep_give_up(err.text);
  return book;
}

static bool pattern_there(const page_sweep *p, long name) {
  char words[40];
  dw_error err;
  dw_pattern pattern;
  dw_book *book = book_open(p);
  snprintf(words, sizeof words, "point %ld", name);
  bool there = dw_pattern_find(book, words, &pattern, &err) == DW_OK;
  dw_book_close(book);
  return there;
}

static size_t works_now(const page_sweep *p) {
  dw_error err;
  dw_book_bench *list = NULL;
  size_t n = 0;
  dw_book *book = book_open(p);
  if (dw_book_bench_list(book, &list, &n, &err) != DW_OK) sweep_give_up(err.text);
  dw_book_close(book);
  free(list);
  return n;
}

/* false: nothing tells */
static bool took_place(page_sweep *p, const route *r, long name, bool *out) {
  size_t before = p->works;
  if (r->answer == NAMES_PATTERN) *out = pattern_there(p, name);
  if (r->answer == ADDS_WORK) *out = (p->works = works_now(p)) > before;
  return r->answer == NAMES_PATTERN || r->answer == ADDS_WORK;
}

/* A closed connection leaves open which; a failure may say that what was asked for is kept. */
static void judge_kept(page_sweep *p, const route *r, long at, long name, int status) {
  bool kept = status == 500 && strstr(answer, "\"kept\":true"), there;
  if (!took_place(p, r, name, &there) || status == 0) return;
  if (there != (status == 201 || kept))
    fault(p, r, at, there ? "refused, but kept" : "acknowledged, but lost", status, answer);
}

static char right[ANSWER_ROOM];
static size_t n_right;

static void take_right(page_sweep *p, const route *r) {
  int status = ask_point(p, r, 0, 0);
  if (status < 200 || status >= 300) fault(p, r, 0, "nothing failed, and yet", status, answer);
  memcpy(right, answer, n_answer + 1);
  n_right = n_answer;
}

/* What could not be had is told among the warnings, in words that the right answer does not have. */
static bool answer_right(void) {
  static const char *const words[] = {"lugin ", "not enough memory"};
  if (n_answer == n_right && memcmp(answer, right, n_right) == 0) return true;
  for (size_t i = 0; i < sizeof words / sizeof *words; i++)
    if (strstr(answer, words[i]) && !strstr(right, words[i])) return true;
  return false;
}

/* false: the point lies behind the request's last allocation */
static bool point(page_sweep *p, const route *r, long at) {
  long name = ++p->asked;
  int status = ask_point(p, r, at, name);
  bool hit = atomic_load(server_count(&p->server)) >= at;
  bool done = status >= 200 && status < 300;
  if (!done && status != 0 && !((status == 500 || status == 503) && has_sentence()))
    fault(p, r, at, "neither done nor a sentence of memory", status, answer);
  if (!done && status == 0 && !hit) fault(p, r, at, "closed, though nothing failed", status, answer);
  if (done && r->answer == SAME && !answer_right())
    fault(p, r, at, "done, but with another answer", status, answer);
  if (done && r->answer != SAME && (*answer != '{' || answer[n_answer - 1] != '}'))
    fault(p, r, at, "done, but without an answer", status, answer);
  if (!server_lives(&p->server)) judge_end(p, r, at);
  judge_kept(p, r, at, name, status);
  return hit;
}

/* What is kept before it is answered is few allocations long: there the usual sweep is closer. */
static long next_of(const route *r, long at, bool all) {
  enum { EVERY = 25 };
  long next = sweep_next(at, all);
  return r->answer >= NAMES_PATTERN && next > at + EVERY ? at + EVERY : next;
}

static long sweep_error(page_sweep *p, const route *r, int error) {
  bool all = p->all || p->server.kind != SWEEP_ALLOCATIONS;
  long points = 0;
  p->server.watch.error = error;
  for (long at = 1; point(p, r, at); at = next_of(r, at, all)) points++;
  return points;
}

static void sweep_route(page_sweep *p, const route *r) {
  static const int errors[][2] = {{0, 0}, {EIO, ENOSPC}, {EIO, SWEEP_SHORT}};
  long points = 0, before = p->faults;
  sweep_kind kind = p->server.kind;
  if (kind != SWEEP_ALLOCATIONS && !p->all && !r->writes) return;
  p->asked = 0;
  p->works = works_now(p);
  if (r->answer == SAME) take_right(p, r);
  for (int i = 0; i < (kind == SWEEP_ALLOCATIONS ? 1 : 2); i++) points += sweep_error(p, r, errors[kind][i]);
  printf("%-6s %-34s %5ld points, %ld faults\n", r->method, r->path, points, p->faults - before);
  fflush(stdout);
  p->points += points;
}

/* ---- the whole ----------------------------------------------------------------------------------------- */

static void read_photo(page_sweep *p, const char *source) {
  char path[400];
  dw_error err;
  snprintf(path, sizeof path, "%s/samples/crawfish-1.jpg", source);
  if (dw_file_read(path, PHOTO_ROOM, &p->photo, &p->n_photo, &err) != DW_OK) sweep_give_up(path);
  dw_sha256(p->photo, p->n_photo, p->sha);
}

static void fill_book(const page_sweep *p) {
  const request photo = {"POST", "/api/photos", "image/jpeg", p->photo, p->n_photo};
  const request steps[] = {
      json_request("POST", "/api/patterns", "{\"name\": \"creek\", \"layers\": [\"back\", \"belly\"]}"),
      json_request("POST", "/api/patterns/1/targets", "{\"layer\": \"back\", \"lab\": [33, 8, 10]}"),
      json_request("POST", "/api/patterns/1/targets", "{\"layer\": \"belly\", \"lab\": [67, 7, 20]}"),
      json_request("POST", "/api/work", "{\"pattern\": 1}"),
  };
  for (size_t i = 0; i < sizeof steps / sizeof *steps; i++) must(&p->server, &steps[i]);
  must(&p->server, &photo);
}

static void add_chips(const page_sweep *p, const char *source) {
  char command[1400];
  snprintf(command, sizeof command,
           "head -14 %s/samples/chips.csv > %s/few.csv && %s/dropwise bottle chips %s/few.csv --book "
           "%s/book.db > %s/said 2>&1",
           source, p->server.folder, p->server.binary, p->server.folder, p->server.folder, p->server.folder);
  if (system(command)) sweep_give_up("the chips");
}

static void check_book(page_sweep *p) {
  char path[200];
  dw_error err;
  dw_text found = {0};
  dw_book *book = NULL;
  snprintf(path, sizeof path, "%s/book.db", p->server.folder);
  dw_status status = dw_book_open(path, DW_BOOK_READ, &book, &err);
  if (status == DW_OK) status = dw_book_check(book, &found, &err);
  if (status != DW_OK) printf("FAULT the book: %s %s\n", err.text, found.data ? found.data : "");
  p->faults += status != DW_OK;
  dw_text_free(&found);
  dw_book_close(book);
}

int main(int argc, char **argv) {
  if (argc != 5) return 2;
  sweep_shop place;
  char words[600];
  page_sweep p = {.all = strcmp(argv[2], "all") == 0};
  sweep_shop_make(&place);
  p.server.kind = sweep_kind_of(argv[1]);
  p.server.binary = argv[4];
  p.server.folder = place.work;
  read_photo(&p, argv[3]);
  add_chips(&p, argv[3]);
  server_start(&p.server);
  fill_book(&p);
  for (size_t i = 0; i < sizeof routes / sizeof *routes; i++) sweep_route(&p, &routes[i]);
  int code = server_end(&p.server, SIGTERM, words, sizeof words);
  if (code != 0) printf("FAULT the server ended with %d: %s\n", code, words), p.faults++;
  check_book(&p);
  printf("%ld points, %ld faults; the server ended %ld times\n", p.points, p.faults, p.ends);
  free(p.photo);
  return p.points > 0 && p.faults == 0 ? 0 : 1;
}

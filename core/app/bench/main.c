/* dropwise-bench: what `dropwise bench` becomes. */
#include "app/bench/bench.h"
#include "app/cli/cli.h"
#include "dropwise/report_qr.h"

#include <malloc.h>
#include <pthread.h>
#include <signal.h>

enum { PORT_DEFAULT = 8321 };

static void say_code(const char *code) {
  if (*code)
    printf("For another device the code is now %s\n", code);
  else
    printf("No more devices can be paired until the bench is started again.\n");
  fflush(stdout);
}

static dw_status print_lan(const char *address, const char *code, dw_text *text, dw_error *err) {
  char with_code[128];
  dw_text_add(text, "\nOn the phone open %s and type the code %s, or point its camera here:\n\n", address,
              code);
  snprintf(with_code, sizeof with_code, "%s#pair=%s", address, code);
  dw_status status = dw_text_qr(with_code, text, err);
  dw_text_add(text, "\nAnyone on this network who has the code can use the bench and its book.\n");
  return status;
}

static dw_status print_start(const cli_args *args, dw_bench *bench, dw_error *err) {
  char code[DW_BENCH_CODE_ROOM];
  dw_bench_code(bench, code);
  const char *address = dw_bench_address(bench);
  if (args->json) return cli_print_json(json_pack("{s:s, s:s}", "address", address, "code", code), err);
  dw_text text = {0};
  dw_text_add(&text, "The bench is at %s\n", address);
  dw_status status = *code ? print_lan(address, code, &text, err) : DW_OK;
  dw_text_add(&text, "Control-C ends it.\n");
  if (status == DW_OK) return cli_print_text(&text, err);
  dw_text_free(&text);
  return status;
}

/* The signals that end the bench are waited for by the main thread alone. */
static void signals_hold(sigset_t *set) {
  sigemptyset(set);
  sigaddset(set, SIGINT);
  sigaddset(set, SIGTERM);
  sigaddset(set, SIGHUP);
  pthread_sigmask(SIG_BLOCK, set, NULL);
  signal(SIGPIPE, SIG_IGN);
  signal(SIGXFSZ, SIG_IGN);
}

static void signals_wait(const sigset_t *set) {
  int got;
  while (sigwait(set, &got)) continue;
}

/* Photos' buffers go back to the system when they are freed, and threads share two pools: the server's memory
 * stays near what is in use. */
static void memory_thrift(void) {
  mallopt(M_ARENA_MAX, 2);
  mallopt(M_MMAP_THRESHOLD, 128 << 10);
}

static dw_status serve(const cli_args *args, dw_bench_options *how, dw_error *err) {
  sigset_t set;
  dw_bench *bench = NULL;
  memory_thrift();
  signals_hold(&set);
  dw_status status = dw_bench_start(how, &bench, err);
  if (status == DW_OK) status = print_start(args, bench, err);
  if (status == DW_OK) signals_wait(&set);
  dw_bench_stop(bench);
  return status;
}

static dw_status run(const cli_args *args, dw_error *err) {
  double port;
  const char *dirs[CLI_PLUGIN_FOLDERS_MAX];
  cli_folders folders;
  dw_bench_options how = {.book = cli_value(args, "--book"),
                          .plugin_dirs = dirs,
                          .n_plugin_dirs = cli_plugin_folders(args, dirs, &folders),
                          .lan = cli_has(args, "--lan"),
                          .units_said = cli_has(args, "--metric") || cli_has(args, "--us"),
                          .units = args->style.units,
                          .code_changed = args->json ? NULL : say_code};
  dw_status status = cli_words(args, 0, 0, "", err);
  if (status == DW_OK) status = cli_number(args, "--port", 0, 65535, PORT_DEFAULT, &port, err);
  if (status != DW_OK) return status;
  how.port = (unsigned)port;
  return serve(args, &how, err);
}

int main(int argc, char **argv) {
  dw_error err = {0};
  cli_hold_streams();
  cli_command bench = cli_bench;
  bench.run = run;
  return cli_exit(cli_run(&bench, argc - 1, argv + 1, &err), &err);
}

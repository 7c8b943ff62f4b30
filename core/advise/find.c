/* Plugins found: files of the folders, each looked over in a child, told apart by id. */
#include "advise/clean.h"
#include "advise/load.h"
#include "dropwise/child.h"

#include <dirent.h>
#include <errno.h>
#include <libgen.h>
#include <limits.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

enum { AT_ONCE = 2 };

static const char *file_name(const char *path) {
  const char *slash = strrchr(path, '/');
  return slash ? slash + 1 : path;
}

/* ---- files ------------------------------------------------------------------------------------------ */

static int is_shared_object(const struct dirent *item) {
  size_t n = strlen(item->d_name);
  return n > 3 && item->d_name[0] != '.' && strcmp(item->d_name + n - 3, ".so") == 0;
}

static int by_name(const struct dirent **a, const struct dirent **b) {
  return strcmp((*a)->d_name, (*b)->d_name); /* the same order in every locale */
}

static bool listed(const dw_plugins *out, const char *path) {
  for (size_t i = 0; i < out->n; i++)
    if (strcmp(out->entry[i].path, path) == 0) return true;
  return false;
}

static void refuse(dw_plugin_entry_info *entry, const char *format, ...) DW_PRINTF(2, 3);
static void refuse(dw_plugin_entry_info *entry, const char *format, ...) {
  char text[2 * sizeof entry->why];
  va_list args;
  va_start(args, format);
  vsnprintf(text, sizeof text, format, args);
  va_end(args);
  entry->usable = false;
  dw__text_clean(entry->why, sizeof entry->why, text, sizeof text);
}

/* ---- whom to trust ------------------------------------------------------------------------------------ */

/* Root, who runs this, and who could change this very program. */
static bool trusted_owner(uid_t owner) {
  struct stat program;
  if (owner == 0 || owner == geteuid()) return true;
  return stat("/proc/self/exe", &program) == 0 && owner == program.st_uid;
}

/* A file or folder that others may change is refused: they could have anything run. In a folder like /tmp
 * each may change only what is their own. */
static bool trusted(const char *path, const struct stat *about, dw_plugin_entry_info *entry) {
  const bool own_only = S_ISDIR(about->st_mode) && (about->st_mode & S_ISVTX);
  if (about->st_mode & S_IWOTH && !own_only)
    refuse(entry, "Anyone on this machine can change %s, so it is not run; take that right away (chmod o-w).",
           file_name(path));
  else if (!trusted_owner(about->st_uid))
    refuse(entry, "%s belongs to another user, so it is not run; copy it to have one of your own.",
           file_name(path));
  return entry->usable;
}

/* ---- folders ------------------------------------------------------------------------------------------ */

/* Adds one file under its real, absolute path; a file listed before (by link or folder) is passed over. */
static void file_add(const char *folder, const struct stat *about_folder, const char *name, dw_plugins *out) {
  char path[sizeof out->entry[0].path], place[PATH_MAX]; /* of its own: no plugin is lost for want of memory */
  int n = snprintf(path, sizeof path, "%s/%s", folder, name);
  char *real = n > 0 && (size_t)n < sizeof path ? realpath(path, place) : NULL;
  dw_plugin_entry_info entry = {.usable = true};
  struct stat about;
  dw_copy_text(entry.path, sizeof entry.path, real ? real : path);
  if (n < 0 || (size_t)n >= sizeof path || (real && strlen(real) >= sizeof path)) {
    refuse(&entry, "%s lies too deep: its path is longer than %zu bytes.", name, sizeof path - 1);
  } else if (!real || stat(real, &about)) {
    refuse(&entry, "%s can't be reached: %s.", name, strerrordesc_np(errno));
  } else if (!S_ISREG(about.st_mode)) {
    refuse(&entry, "%s is not a file.", name);
  } else if (trusted(real, &about, &entry)) {
    trusted(folder, about_folder, &entry);
  }
  if (listed(out, entry.path)) return;
  out->entry[out->n++] = entry;
}

static void folder_add(const char *folder, dw_plugins *out) {
  struct dirent **items = NULL;
  struct stat about;
  int n = scandir(folder, &items, is_shared_object, by_name);
  if (n < 0) {
    dw_note(&out->lost, "The plugin folder %s can't be read: %s.", folder, strerrordesc_np(errno));
    dw_notes_add(&out->notes, &out->lost);
  }
  const bool reached = stat(folder, &about) == 0;
  for (int i = 0; i < n; i++) {
    if (reached && out->n < DW_PLUGINS_MAX)
      file_add(folder, &about, items[i]->d_name, out);
    else if (reached)
      dw_note(&out->notes, "There are more than %d plugin files; the rest, from folder %s on, is left out.",
              DW_PLUGINS_MAX, folder);
    free(items[i]);
  }
  free(items);
}

/* ---- looking over ----------------------------------------------------------------------------------- */

static void look_over(void *path, void *report) {
  dw__plugin_load(path, report);
}

static void judge(const dw_job *job, const dw__report *report, dw_plugin_entry_info *entry) {
  char words[sizeof entry->why];
  const char *name = file_name(entry->path);
  if (job->end != DW_END_ANSWERED) {
    dw_job_words(job, words, sizeof words);
    refuse(entry, "%s %s while it was loaded.", name, words);
    entry->lost = true;
  } else if (!dw__report_sound(report)) {
    refuse(entry, "%s disturbed the check while it was loaded.", name);
  } else if (report->verdict != DW__PLUGIN_FINE) {
    dw__report_words(report, name, words, sizeof words);
    refuse(entry, "%s", words);
    entry->lost = report->verdict == DW__PLUGIN_NOT_OPENED;
  } else {
    memcpy(entry->id, report->id, sizeof entry->id);
    memcpy(entry->title, report->title, sizeof entry->title);
    memcpy(entry->version, report->version, sizeof entry->version);
    entry->only_named = report->only_named != 0;
    entry->n_parameters = report->n_parameters;
    for (size_t i = 0; i < entry->n_parameters; i++) {
      entry->parameter[i] = report->parameter[i];
      entry->parameter[i].told = false;
    }
  }
}

static dw_status inspect_all(double limit_s, dw_plugins *out, dw_error *err) {
  dw_status status = DW_OK;
  size_t tried = 0, not_started = 0, which[DW_PLUGINS_MAX];
  bool unsealed = false;
  dw__report *reports = calloc(DW_PLUGINS_MAX, sizeof *reports);
  dw_job *jobs = calloc(DW_PLUGINS_MAX, sizeof *jobs);
  if (!reports || !jobs) {
    status = dw_fail_memory(err, "the list of plugins");
    goto done;
  }
  for (size_t i = 0; i < out->n; i++) {
    if (!out->entry[i].usable) continue;
    jobs[tried] = (dw_job){.run = look_over,
                           .arg = out->entry[i].path,
                           .answer = &reports[tried],
                           .answer_size = sizeof *reports,
                           .limit_s = limit_s,
                           .library = out->entry[i].path};
    which[tried++] = i;
  }
  dw_jobs_run(jobs, tried, AT_ONCE);
  for (size_t j = 0; j < tried; j++) {
    judge(&jobs[j], &reports[j], &out->entry[which[j]]);
    not_started += jobs[j].end == DW_END_NOT_STARTED;
    unsealed |= jobs[j].end == DW_END_ANSWERED && !jobs[j].sealed;
  }
  out->unsealed = unsealed;
  if (unsealed)
    dw_note(&out->notes,
            "This system can't seal plugins (it lacks seccomp), so they run with your own rights: use only "
            "those of people you trust.");
  if (tried && not_started == tried)
    status = dw_fail(err, DW_IO, "No process could be started to look at the plugins: %s.",
                     strerrordesc_np(jobs[0].detail));
done:
  free(jobs);
  free(reports);
  return status;
}

/* The usable plugin before `entry` that has its id, or NULL. */
static const dw_plugin_entry_info *elder_twin(const dw_plugins *out, const dw_plugin_entry_info *entry) {
  for (const dw_plugin_entry_info *e = out->entry; e < entry; e++)
    if (e->usable && strcmp(e->id, entry->id) == 0) return e;
  return NULL;
}

static void refuse_twins(dw_plugins *out) {
  for (size_t i = 0; i < out->n; i++) {
    dw_plugin_entry_info *entry = &out->entry[i];
    const dw_plugin_entry_info *elder = entry->usable ? elder_twin(out, entry) : NULL;
    if (elder)
      refuse(entry, "%s has the id '%s', which %s has already; the first one found is used.",
             file_name(entry->path), entry->id, elder->path);
  }
}

dw_status dw_plugins_find(const char *const *dirs, size_t n, double limit_s, dw_plugins *out, dw_error *err) {
  *out = (dw_plugins){0};
  for (size_t i = 0; i < n; i++) folder_add(dirs[i], out);
  dw_status status = inspect_all(limit_s > 0 ? limit_s : DW_PLUGIN_LIMIT_S, out, err);
  refuse_twins(out);
  return status;
}

dw_status dw_plugins_look(const char *file, double limit_s, dw_plugins *out, dw_error *err) {
  char folder[PATH_MAX];
  struct stat about = {0};
  *out = (dw_plugins){0};
  if (!dw_copy_text(folder, sizeof folder, file))
    return dw_fail(err, DW_USAGE, "The path %.60s... is too long.", file);
  const char *of = dirname(folder);
  if (stat(of, &about) != 0)
    return dw_fail(err, DW_NOT_FOUND, "The folder %.200s can't be reached: %s.", of, strerrordesc_np(errno));
  file_add(of, &about, file_name(file), out);
  return inspect_all(limit_s > 0 ? limit_s : DW_PLUGIN_LIMIT_S, out, err);
}

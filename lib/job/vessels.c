/* SPDX-License-Identifier: LGPL-2.1-or-later */
#include "config.h"

#include <rhyton/vessels.h>

#include <string.h>

#include "../shape/load.h"
#include "json.h"

#include "key-source.h"
#include "print.h"

#define FOLDER "/org/rhyton/vessels"
#define ENDING ".vessel"

struct _RhyVessels
{
  GPtrArray    *entries;        /* RhyVesselEntry, by name */
  GStringChunk *strings;
};

static void
entry_free (gpointer data)
{
  RhyVesselEntry *entry = data;
  g_clear_pointer (&entry->job, rhy_job_unref);
  g_free (entry);
}

static void
clear (gpointer data)
{
  RhyVessels *self = data;
  g_ptr_array_unref (self->entries);
  g_string_chunk_free (self->strings);
}

RhyVessels *
rhy_vessels_ref (RhyVessels *self)
{
  g_return_val_if_fail (self != NULL, NULL);

  return g_atomic_rc_box_acquire (self);
}

void
rhy_vessels_unref (RhyVessels *self)
{
  g_return_if_fail (self != NULL);

  g_atomic_rc_box_release_full (self, clear);
}

static const char *
keep (RhyVessels *self,
      GKeyFile   *file,
      const char *key)
{
  g_autofree char *text = g_key_file_get_string (file, "Catalogue", key, NULL);
  return text != NULL && *text != '\0' ? g_string_chunk_insert (self->strings, text) : NULL;
}

static gint
compare_entries (gconstpointer a,
                 gconstpointer b)
{
  const RhyVesselEntry *const *ea = a;
  const RhyVesselEntry *const *eb = b;
  return strcmp ((*ea)->name, (*eb)->name);
}

static void
drop (RhyVessels *self,
      const char *name)
{
  for (guint i = 0; i < self->entries->len; i++)
    if (strcmp (((RhyVesselEntry *) self->entries->pdata[i])->name, name) == 0)
      {
        g_ptr_array_remove_index (self->entries, i);
        return;
      }
}

/* @path: where messages say that it is. */
static gboolean
add (RhyVessels *self,
     const char *base,
     const char *text,
     gsize       length,
     const char *path,
     gboolean    own,
     GError    **error)
{
  g_autoptr (RhyJob) job = rhy_job_new_from_data (text, (gssize) length, path, error);
  if (job == NULL)
    return FALSE;
  g_autoptr (GKeyFile) file = g_key_file_new ();
  if (!g_key_file_load_from_data (file, text, length, G_KEY_FILE_NONE, error))
    return FALSE;

  g_autofree char *name = g_strndup (base, strlen (base) - strlen (ENDING));
  g_autofree char *standing = g_key_file_get_string (file, "Catalogue", "Standing", NULL);
  const char *title = rhy_job_get_data (job)->vessel.name;
  const char *kind = keep (self, file, "Kind");
  const char *source = keep (self, file, "Source");
  drop (self, name);
  RhyVesselEntry *entry = g_new (RhyVesselEntry, 1);
  *entry = (RhyVesselEntry) {
    .name = g_string_chunk_insert (self->strings, name),
    .title = title != NULL ? title : "",
    .kind = kind != NULL ? kind : "vessel",
    .source = source != NULL ? source : "not given",
    .note = keep (self, file, "Note"),
    .published = g_strcmp0 (standing, "published") == 0,
    .own = own,
    .job = g_steal_pointer (&job),
  };
  g_ptr_array_add (self->entries, entry);
  return TRUE;
}

/* The resource compiler's; its header would declare it, but comes with a prefix of its own. */
void rhy_vessels_register_resource (void);

static void
register_once (void)
{
  static gsize done = 0;
  if (g_once_init_enter (&done))
    {
      rhy_vessels_register_resource ();
      g_once_init_leave (&done, 1);
    }
}

static void
add_built_in (RhyVessels *self)
{
  register_once ();
  g_auto (GStrv) names = g_resources_enumerate_children (FOLDER, G_RESOURCE_LOOKUP_FLAGS_NONE, NULL);
  for (gsize i = 0; names != NULL && names[i] != NULL; i++)
    {
      g_autofree char *path = g_build_path ("/", FOLDER, names[i], NULL);
      g_autoptr (GError) error = NULL;
      g_autoptr (GBytes) bytes = g_resources_lookup_data (path, G_RESOURCE_LOOKUP_FLAGS_NONE, &error);
      gsize length = 0;
      const char *text = bytes != NULL ? g_bytes_get_data (bytes, &length) : NULL;
      /* Ours are tested; one that cannot be read is a mistake of this library. */
      if (text == NULL || !add (self, names[i], text, length, NULL, FALSE, &error))
        g_critical ("%s: %s", path, error->message);
    }
}

static void
add_own (RhyVessels *self,
         const char *folder,
         GPtrArray  *problems)
{
  g_autoptr (GDir) dir = g_dir_open (folder, 0, NULL);
  const char *base;
  while (dir != NULL && (base = g_dir_read_name (dir)) != NULL)
    {
      if (!g_str_has_suffix (base, ENDING) || *base == '.' || strlen (base) == strlen (ENDING))
        continue;
      g_autofree char *path = g_build_filename (folder, base, NULL);
      g_autofree char *text = NULL;
      gsize length = 0;
      g_autoptr (GError) error = NULL;
      if (!rhy_load (path, RHY_KEY_BYTES_MAX, "a vessel file", &text, &length, &error) || !add (self, base, text, length, path, TRUE, &error))
        g_ptr_array_add (problems, g_strdup (error->message));
    }
}

RhyVessels *
rhy_vessels_new (const char *folder,
                 char     ***problems)
{
  RhyVessels *self = g_atomic_rc_box_new0 (RhyVessels);
  self->entries = g_ptr_array_new_with_free_func (entry_free);
  self->strings = g_string_chunk_new (4096);

  g_autofree char *own = folder != NULL ? g_strdup (folder)
                                        : g_build_filename (g_get_user_data_dir (), "rhyton", "vessels", NULL);
  g_autoptr (GPtrArray) lines = g_ptr_array_new_with_free_func (g_free);
  add_built_in (self);
  add_own (self, own, lines);
  g_ptr_array_sort (self->entries, compare_entries);
  if (problems != NULL)
    {
      g_ptr_array_add (lines, NULL);
      *problems = (char **) g_ptr_array_steal (lines, NULL);
    }
  return self;
}

gsize
rhy_vessels_get_n (const RhyVessels *self)
{
  g_return_val_if_fail (self != NULL, 0);

  return self->entries->len;
}

const RhyVesselEntry *
rhy_vessels_get (const RhyVessels *self,
                 gsize             i)
{
  g_return_val_if_fail (self != NULL && i < self->entries->len, NULL);

  return self->entries->pdata[i];
}

const RhyVesselEntry *
rhy_vessels_find (const RhyVessels *self,
                  const char       *name,
                  GError          **error)
{
  g_return_val_if_fail (self != NULL && name != NULL, NULL);
  g_return_val_if_fail (error == NULL || *error == NULL, NULL);

  g_autoptr (GString) alike = g_string_new (NULL);
  for (guint i = 0; i < self->entries->len; i++)
    {
      const RhyVesselEntry *entry = self->entries->pdata[i];
      if (strcmp (entry->name, name) == 0)
        return entry;
      if (*name != '\0' && (g_str_has_prefix (entry->name, name) || g_strcmp0 (entry->kind, name) == 0))
        g_string_append_printf (alike, "%s%s", alike->len > 0 ? ", " : "", entry->name);
    }
  g_set_error (error, RHY_ERROR, RHY_ERROR_JOB, "no vessel \"%s\" in the catalogue%s%s", name,
               alike->len > 0 ? "; there are " : ": rhyton-cli vessels lists what there is", alike->str);
  return NULL;
}

/* ---- listing ---- */

static void
sizes_of (const RhyVesselEntry *entry,
          double               *height,
          double               *widest)
{
  const RhyJobData *d = rhy_job_get_data (entry->job);
  *height = d->vessel.n_stations > 0 ? d->vessel.heights_mm[d->vessel.n_stations - 1] : 0.0;
  *widest = 0.0;
  for (gsize i = 0; i < d->vessel.n_stations; i++)
    *widest = MAX (*widest, d->vessel.diameters_mm[i]);
}

char *
rhy_vessels_to_text (const RhyVessels *self)
{
  g_return_val_if_fail (self != NULL, NULL);

  gsize width = 4;
  for (guint i = 0; i < self->entries->len; i++)
    width = MAX (width, strlen (((RhyVesselEntry *) self->entries->pdata[i])->name));

  g_autoptr (GString) out = g_string_new (NULL);
  g_string_append_printf (out, "%-*s  %8s  %8s  %-9s  %s\n", (int) width, "NAME", "WIDE", "HIGH", "SIZES", "WHAT IT IS");
  for (guint i = 0; i < self->entries->len; i++)
    {
      const RhyVesselEntry *entry = self->entries->pdata[i];
      double height, widest;
      sizes_of (entry, &height, &widest);
      g_autofree char *line = rhy_print ("%-*s  %5.1f mm  %5.1f mm  %-9s  %s%s\n", (int) width, entry->name, widest, height,
                                         entry->published ? "published" : entry->own ? "own" : "typical",
                                         entry->title, entry->own ? " (own)" : "");
      g_string_append (out, line);
    }
  g_string_append (out, "\nTypical sizes are a start: measure your blank. Published ones have tolerances too.\n");
  return g_string_free (g_steal_pointer (&out), FALSE);
}

static void
put_list (JsonBuilder  *b,
          const char   *name,
          const double *values,
          gsize         n)
{
  json_builder_set_member_name (b, name);
  json_builder_begin_array (b);
  for (gsize i = 0; i < n; i++)
    json_builder_add_double_value (b, values[i]);
  json_builder_end_array (b);
}

static void
put_entry (JsonBuilder          *b,
           const RhyVesselEntry *entry)
{
  static const char *const forms[] = { "auto", "straight", "stepped", "smooth" };
  const RhyJobData *d = rhy_job_get_data (entry->job);
  json_builder_begin_object (b);
  json_builder_set_member_name (b, "capacity_ml");
  if (d->vessel.capacity_ml > 0.0)
    json_builder_add_double_value (b, d->vessel.capacity_ml);
  else
    json_builder_add_null_value (b);
  put_list (b, "diameters_mm", d->vessel.diameters_mm, d->vessel.n_stations);
  put_list (b, "heights_mm", d->vessel.heights_mm, d->vessel.n_stations);
  rhy_json_put_string (b, "kind", entry->kind);
  rhy_json_put_string (b, "name", entry->name);
  rhy_json_put_string (b, "note", entry->note);
  json_builder_set_member_name (b, "own");
  json_builder_add_boolean_value (b, entry->own);
  json_builder_set_member_name (b, "published");
  json_builder_add_boolean_value (b, entry->published);
  rhy_json_put_string (b, "source", entry->source);
  rhy_json_put_string (b, "title", entry->title);
  rhy_json_put_string (b, "wall", forms[d->vessel.form]);
  json_builder_end_object (b);
}

char *
rhy_vessels_to_json (const RhyVessels *self)
{
  g_return_val_if_fail (self != NULL, NULL);

  g_autoptr (JsonBuilder) b = json_builder_new_immutable ();
  json_builder_begin_object (b);
  json_builder_set_member_name (b, "format");
  json_builder_add_int_value (b, 1);
  json_builder_set_member_name (b, "vessels");
  json_builder_begin_array (b);
  for (guint i = 0; i < self->entries->len; i++)
    put_entry (b, self->entries->pdata[i]);
  json_builder_end_array (b);
  json_builder_end_object (b);

  return rhy_json_end (b);
}

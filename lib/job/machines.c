/* SPDX-License-Identifier: LGPL-2.1-or-later */
#include "config.h"

#include <rhyton/machines.h>

#include <math.h>
#include <string.h>

#include "json.h"

#include "print.h"

#define ENDING ".machine"

/* More than anybody has machines; keeps a wrong folder from taking for ever. */
#define FILES_LIMIT 1000

static void
machine_free (gpointer data)
{
  RhyMachine *self = data;
  g_free (self->id);
  g_free (self->path);
  g_free (self->name);
  g_free (self->problem);
  g_clear_pointer (&self->job, rhy_job_unref);
  g_free (self);
}

static const RhyMachine *
find_id (const GPtrArray *machines,
         const char      *id)
{
  for (guint i = 0; i < machines->len; i++)
    if (strcmp (((const RhyMachine *) machines->pdata[i])->id, id) == 0)
      return machines->pdata[i];
  return NULL;
}

/* Read as a job reads it, with a vessel that nobody looks at. */
static RhyMachine *
read_machine (const char *folder,
              const char *file_name)
{
  RhyMachine *self = g_new0 (RhyMachine, 1);
  g_autoptr (GError) error = NULL;
  g_autoptr (GKeyFile) keys = g_key_file_new ();
  self->id = g_strndup (file_name, strlen (file_name) - strlen (ENDING));
  self->path = g_build_filename (folder, file_name, NULL);

  g_autoptr (RhyJob) bare = rhy_job_new_from_data ("[Vessel]\nHeights=0;100\nDiameters=80;80\n", -1, NULL, NULL);
  self->job = rhy_job_with_text (bare, "Machine", "File", self->path, &error);
  if (self->job == NULL)
    {
      self->problem = g_strdup (error->message);
      self->name = g_strdup (self->id);
      return self;
    }
  if (g_key_file_load_from_file (keys, self->path, G_KEY_FILE_NONE, NULL))
    self->name = g_key_file_get_string (keys, "Machine", "Name", NULL);
  if (self->name == NULL)
    self->name = g_strdup (self->id);
  return self;
}

static gboolean
add_folder (GPtrArray  *machines,
            const char *folder,
            GError    **error)
{
  g_autoptr (GDir) dir = g_dir_open (folder, 0, error);
  const char *name;
  if (dir == NULL)
    return FALSE;
  while ((name = g_dir_read_name (dir)) != NULL && machines->len < FILES_LIMIT)
    {
      if (!g_str_has_suffix (name, ENDING) || strlen (name) == strlen (ENDING))
        continue;
      RhyMachine *machine = read_machine (folder, name);
      if (find_id (machines, machine->id) == NULL)
        g_ptr_array_add (machines, machine);
      else
        machine_free (machine);
    }
  return TRUE;
}

static int
by_id (const void *a,
       const void *b)
{
  return strcmp ((*(const RhyMachine *const *) a)->id, (*(const RhyMachine *const *) b)->id);
}

static void
add_known_folders (GPtrArray *machines)
{
  const char *named = g_getenv ("RHYTON_MACHINES");
  if (named != NULL && *named != '\0')
    add_folder (machines, named, NULL);
  g_autofree char *own = g_build_filename (g_get_user_data_dir (), "rhyton", "machines", NULL);
  add_folder (machines, own, NULL);
  for (const char *const *dir = g_get_system_data_dirs (); *dir != NULL; dir++)
    {
      g_autofree char *system = g_build_filename (*dir, "rhyton", "machines", NULL);
      add_folder (machines, system, NULL);
    }
  add_folder (machines, RHYTON_DATADIR "/machines", NULL);
}

GPtrArray *
rhy_machines_list (const char *folder,
                   GError    **error)
{
  g_autoptr (GPtrArray) machines = g_ptr_array_new_with_free_func (machine_free);
  g_autoptr (GError) local = NULL;
  if (folder != NULL && !add_folder (machines, folder, &local))
    {
      g_set_error (error, local->domain, local->code, "%s: no folder that can be read", folder);
      return NULL;
    }
  if (folder == NULL)
    add_known_folders (machines);
  g_ptr_array_sort (machines, by_id);
  return g_steal_pointer (&machines);
}

/* ---- text ---- */

static double
degrees (double rad)
{
  return rad / G_PI * 180.0;
}

static const char *
drives_of (const RhyJobData *d)
{
  const gboolean chuck = d->machine.jaw_depth_mm >= 0.0;
  const gboolean rollers = d->machine.roller_radius_mm > 0.0;
  const gboolean pins = d->machine.pin_radius_mm > 0.0;
  static const char *const words[] = { "-", "chuck", "rollers", "chuck, rollers", "pins", "chuck, pins", "rollers, pins",
                                       "chuck, rollers, pins" };
  return words[(chuck ? 1 : 0) + (rollers ? 2 : 0) + (pins ? 4 : 0)];
}

static char *
pair (double      a,
      const char *between,
      double      b)
{
  return isnan (a) || isnan (b) ? g_strdup ("-") : rhy_print ("%.0f%s%.0f", a, between, b);
}

char *
rhy_machines_to_text (const GPtrArray *machines)
{
  g_return_val_if_fail (machines != NULL, NULL);

  GString *out = g_string_new (NULL);
  if (machines->len == 0)
    g_string_append (out, "No machine files found. Put yours into rhyton/machines under your data folder.\n");
  else
    g_string_append_printf (out, "%-18s %-20s %12s %14s %10s  %s\n", "Machine", "Drive", "bed mm", "tilt degrees", "head mm", "Name");
  for (guint i = 0; i < machines->len; i++)
    {
      const RhyMachine *m = machines->pdata[i];
      if (m->job == NULL)
        {
          g_string_append_printf (out, "%-18s cannot be read: %s\n", m->id, m->problem);
          continue;
        }
      const RhyJobData *d = rhy_job_get_data (m->job);
      g_autofree char *bed = pair (d->machine.bed_width_mm, " x ", d->machine.bed_height_mm);
      g_autofree char *tilt = pair (degrees (d->machine.tilt_min_rad), " to ", degrees (d->machine.tilt_max_rad));
      g_autofree char *head = pair (2.0 * d->machine.head_half_width_mm, " / ", d->machine.working_distance_mm);
      g_string_append_printf (out, "%-18s %-20s %12s %14s %10s  %s\n", m->id, drives_of (d), bed, tilt, head, m->name);
    }
  if (machines->len > 0)
    g_string_append (out, "\nHead: its width, and its working distance. Name a machine in a job with [Machine] File=.\n");
  return g_string_free (out, FALSE);
}

/* ---- JSON ---- */

static void
put_machine (JsonBuilder      *b,
             const RhyMachine *m)
{
  const RhyJobData *d = m->job != NULL ? rhy_job_get_data (m->job) : NULL;
  json_builder_begin_object (b);
  rhy_json_put_number (b, "axis_height_mm", d != NULL ? d->machine.axis_height_mm : NAN);
  rhy_json_put_number (b, "bed_height_mm", d != NULL ? d->machine.bed_height_mm : NAN);
  rhy_json_put_number (b, "bed_width_mm", d != NULL ? d->machine.bed_width_mm : NAN);
  rhy_json_put_number (b, "depth_of_focus_mm", d != NULL ? d->machine.depth_of_focus_mm : NAN);
  rhy_json_put_string (b, "drive", d != NULL ? drives_of (d) : NULL);
  rhy_json_put_number (b, "head_half_width_mm", d != NULL ? d->machine.head_half_width_mm : NAN);
  rhy_json_put_number (b, "head_height_mm", d != NULL ? d->machine.head_height_mm : NAN);
  rhy_json_put_string (b, "id", m->id);
  rhy_json_put_string (b, "name", m->name);
  rhy_json_put_number (b, "nozzle_radius_mm", d != NULL ? d->machine.nozzle_radius_mm : NAN);
  rhy_json_put_string (b, "path", m->path);
  rhy_json_put_string (b, "problem", m->problem);
  rhy_json_put_number (b, "tilt_max_deg", d != NULL ? degrees (d->machine.tilt_max_rad) : NAN);
  rhy_json_put_number (b, "tilt_min_deg", d != NULL ? degrees (d->machine.tilt_min_rad) : NAN);
  rhy_json_put_number (b, "travel_per_turn_mm", d != NULL && d->machine.travel_per_turn_mm > 0.0 ? d->machine.travel_per_turn_mm : NAN);
  rhy_json_put_number (b, "working_distance_mm", d != NULL ? d->machine.working_distance_mm : NAN);
  json_builder_end_object (b);
}

char *
rhy_machines_to_json (const GPtrArray *machines)
{
  g_return_val_if_fail (machines != NULL, NULL);

  g_autoptr (JsonBuilder) b = json_builder_new_immutable ();
  json_builder_begin_array (b);
  for (guint i = 0; i < machines->len; i++)
    put_machine (b, machines->pdata[i]);
  json_builder_end_array (b);
  return rhy_json_end (b);
}

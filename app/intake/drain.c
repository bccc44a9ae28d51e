/* SPDX-License-Identifier: LGPL-2.1-or-later */
#include "config.h"

#include "drain.h"

#include <string.h>
#include <sys/mman.h>
#include <unistd.h>

/* Asked for no more often than this. */
static const gsize STEP = 1024 * 1024;

struct _DrainStream
{
  GInputStream parent_instance;

  GBytes *bytes;
  gsize   at;
  gsize   given;                /* whole pages before this have gone back */
};

G_DEFINE_FINAL_TYPE (DrainStream, drain_stream, G_TYPE_INPUT_STREAM)

static void
give_back (DrainStream  *self,
           const guint8 *data)
{
  const gsize page = (gsize) sysconf (_SC_PAGESIZE);
  const guintptr from = ((guintptr) data + self->given + page - 1) / page * page;
  const guintptr to = ((guintptr) data + self->at) / page * page;
  self->given = self->at;
  /* That it cannot be done costs memory and nothing else. */
  if (to > from)
    madvise ((gpointer) from, to - from, MADV_DONTNEED);
}

static gssize
drain_stream_read (GInputStream *stream,
                   void         *buffer,
                   gsize         count,
                   GCancellable *cancellable,
                   GError      **error)
{
  DrainStream *self = DRAIN_STREAM (stream);
  gsize size;
  const guint8 *data = g_bytes_get_data (self->bytes, &size);
  (void) cancellable;
  (void) error;

  const gsize n = MIN (count, size - self->at);
  memcpy (buffer, data + self->at, n);
  self->at += n;
  if (self->at - self->given >= STEP)
    give_back (self, data);
  return (gssize) n;
}

static void
drain_stream_finalize (GObject *object)
{
  g_bytes_unref (DRAIN_STREAM (object)->bytes);
  G_OBJECT_CLASS (drain_stream_parent_class)->finalize (object);
}

static void
drain_stream_class_init (DrainStreamClass *klass)
{
  G_OBJECT_CLASS (klass)->finalize = drain_stream_finalize;
  G_INPUT_STREAM_CLASS (klass)->read_fn = drain_stream_read;
}

static void
drain_stream_init (DrainStream *self)
{
  (void) self;
}

GInputStream *
drain_stream_new (GBytes *bytes)
{
  DrainStream *self = g_object_new (DRAIN_TYPE_STREAM, NULL);
  self->bytes = bytes;
  return G_INPUT_STREAM (self);
}

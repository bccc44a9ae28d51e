/* SPDX-License-Identifier: LGPL-2.1-or-later */
#include "config.h"

#include "source.h"

#include <errno.h>
#include <gio/gio.h>
#include <string.h>
#include <unistd.h>

#include "picture.h"

/* Bytes of one text element: pages of a book, and a second or two. */
static const guint TEXT_MAX = 20000;

static GByteArray *
read_all (Wire *wire,
          gsize max_bytes)
{
  GByteArray *bytes = g_byte_array_new ();
  while (TRUE)
    {
      const guint room = 256 * 1024;
      const guint had = bytes->len;
      g_byte_array_set_size (bytes, had + room);
      const gssize n = read (STDIN_FILENO, bytes->data + had, room);
      g_byte_array_set_size (bytes, had + (guint) MAX (n, 0));
      if (n == 0)
        return bytes;
      if (n < 0 && errno != EINTR)
        wire_fail (wire, RHY_ERROR_ARTWORK, "its bytes did not arrive: %s", g_strerror (errno));
      if (bytes->len > max_bytes)
        wire_fail (wire, RHY_ERROR_LIMIT, "larger than the %" G_GSIZE_FORMAT " MiB allowed", max_bytes >> 20);
    }
}

/* librsvg unpacks without a limit, so it never sees packed bytes. */
static GByteArray *
unpacked (Wire       *wire,
          GByteArray *packed,
          gsize       max_bytes)
{
  g_autoptr (GConverter) gunzip = G_CONVERTER (g_zlib_decompressor_new (G_ZLIB_COMPRESSOR_FORMAT_GZIP));
  GByteArray *bytes = g_byte_array_new ();
  gsize at = 0;
  while (TRUE)
    {
      g_autoptr (GError) error = NULL;
      gsize n_read = 0;
      gsize n_written = 0;
      const guint had = bytes->len;
      g_byte_array_set_size (bytes, had + 256 * 1024);
      const GConverterResult result
        = g_converter_convert (gunzip, packed->data + at, packed->len - at, bytes->data + had, 256 * 1024,
                               G_CONVERTER_INPUT_AT_END, &n_read, &n_written, &error);
      g_byte_array_set_size (bytes, had + (guint) n_written);
      at += n_read;
      if (bytes->len > max_bytes)
        wire_fail (wire, RHY_ERROR_LIMIT, "unpacks to more than the %" G_GSIZE_FORMAT " MiB allowed",
                   max_bytes >> 20);
      if (result == G_CONVERTER_FINISHED)
        return bytes;
      if (result == G_CONVERTER_ERROR)
        wire_fail (wire, RHY_ERROR_ARTWORK, "damaged: its gzip packing does not open");
    }
}

static const struct { const char *magic; gsize length; const char *name; } known[] = {
  { "GIF8", 4, "a GIF picture" },
  { "RIFF", 4, "a WebP picture or a sound" },
  { "BM", 2, "a BMP picture" },
  { "II*", 4, "a TIFF picture" },
  { "MM\0*", 4, "a TIFF picture" },
  { "%PDF", 4, "a PDF document" },
  { "%!PS", 4, "a PostScript document" },
  { "PK\x03\x04", 4, "a ZIP archive" },
};

static void
refuse_what_is_no_xml (Wire   *wire,
                       GBytes *bytes)
{
  gsize size;
  const guint8 *data = g_bytes_get_data (bytes, &size);
  gsize at = 0;
  while (at < size && (g_ascii_isspace (data[at]) || data[at] == 0))
    at++;
  if (at == size)
    wire_fail (wire, RHY_ERROR_ARTWORK, size == 0 ? "the file is empty" : "the file holds only blanks");

  for (gsize i = 0; i < G_N_ELEMENTS (known); i++)
    if (size >= known[i].length && memcmp (data, known[i].magic, known[i].length) == 0)
      wire_fail (wire, RHY_ERROR_ARTWORK, "it is %s: an SVG drawing, a PNG or a JPEG picture is wanted", known[i].name);

  /* UTF-16 and UTF-8 byte order marks may stand before the first bracket. */
  const gboolean marked = size >= 3 && (memcmp (data, "\xef\xbb\xbf", 3) == 0
                                              || memcmp (data, "\xff\xfe", 2) == 0
                                              || memcmp (data, "\xfe\xff", 2) == 0);
  if (!marked && data[at] != '<')
    wire_fail (wire, RHY_ERROR_ARTWORK, RHY_INTAKE_NO_XML);
}

GBytes *
source_read (Wire *wire,
             gsize max_bytes)
{
  GByteArray *bytes = read_all (wire, max_bytes);
  if (bytes->len >= 2 && bytes->data[0] == 0x1f && bytes->data[1] == 0x8b)
    {
      GByteArray *open = unpacked (wire, bytes, max_bytes);
      g_byte_array_unref (bytes);
      bytes = open;
    }
  GBytes *source = g_byte_array_free_to_bytes (bytes);
  if (!picture_is_one (source))
    refuse_what_is_no_xml (wire, source);
  return source;
}

/* Seen by librsvg 2.54 and drawn as nothing. A plain search for tags can only
 * say too much (a tag inside a comment), never too little. */
static const struct { const char *element, *note; } silent[] = {
  { "textPath", "lettering along a path is left out: turn it into paths in the drawing program" },
  { "foreignObject", "a foreign object (web text) is left out: turn it into plain text or paths" },
  { "flowRoot", "flowed text is left out: turn it into plain text or paths" },
  { "meshgradient", "a mesh gradient is left out" },
  { "meshGradient", "a mesh gradient is left out" },
  { "hatch", "a hatch paint is left out" },
  { "animate", "animation is left out: the drawing is taken as it stands still" },
  { "animateTransform", "animation is left out: the drawing is taken as it stands still" },
  { "script", "a script is left out: nothing in the drawing is run" },
};

static gboolean
is_name_end (char c)
{
  return g_ascii_isspace (c) || c == '>' || c == '/';
}

/* Finds the next start tag of @element, with any prefix. */
static const char *
next_tag (const char *at,
          const char *end,
          const char *element)
{
  const gsize length = strlen (element);
  while (at < end)
    {
      const char *hit = memmem (at, (gsize) (end - at), element, length);
      if (hit == NULL)
        return NULL;
      at = hit + length;
      if (at < end && is_name_end (*at) && (hit[-1] == '<' || hit[-1] == ':'))
        return hit;
    }
  return NULL;
}

static char *
attribute_of (const char *tag,
              const char *end,
              const char *name)
{
  const char *stop = memchr (tag, '>', (gsize) (end - tag));
  if (stop == NULL)
    stop = end;
  const char *at = memmem (tag, (gsize) (stop - tag), name, strlen (name));
  if (at == NULL)
    return NULL;
  for (at += strlen (name); at < stop && (g_ascii_isspace (*at) || *at == '='); at++)
    ;
  if (at >= stop || (*at != '"' && *at != '\''))
    return NULL;
  const char *close = memchr (at + 1, *at, (gsize) (end - at - 1));
  return close != NULL ? g_strndup (at + 1, MIN ((gsize) (close - at - 1), 200)) : NULL;
}

/* @what: "picture". What is in the file itself begins with data: or, of a part of the drawing, with #. */
static void
note_linked (Wire       *wire,
             const char *text,
             const char *end,
             const char *element,
             const char *what)
{
  guint n = 0;
  g_autofree char *first = NULL;
  for (const char *tag = next_tag (text, end, element); tag != NULL; tag = next_tag (tag + strlen (element), end, element))
    {
      g_autofree char *href = attribute_of (tag, end, "href");
      if (href == NULL || *href == '\0' || *g_strchug (href) == '#' || g_str_has_prefix (href, "data:"))
        continue;
      if (n++ == 0)
        first = g_steal_pointer (&href);
    }
  if (n == 0)
    return;
  g_autofree char *base = g_path_get_basename (first);
  g_autofree char *note
    = g_strdup_printf ("%u linked %s%s left out (%s): embed %s in the drawing, nothing outside it is read",
                       n, what, n == 1 ? " is" : "s are", base, n == 1 ? "it" : "them");
  wire_note (wire, note);
}

void
source_note_silent_losses (Wire   *wire,
                           GBytes *source)
{
  gsize size;
  const char *text = g_bytes_get_data (source, &size);
  const char *end = text + size;
  const char *said = "";
  /* A tag's name is never the first byte: a bracket stands before it. */
  for (gsize i = 0; i < G_N_ELEMENTS (silent); i++)
    if (strcmp (said, silent[i].note) != 0 && next_tag (text + 1, end, silent[i].element) != NULL)
      wire_note (wire, said = silent[i].note);
  if (memmem (text, size, "vector-effect", 13) != NULL)
    wire_note (wire, "vector-effect is passed over: strokes scale with the drawing");
  note_linked (wire, text + 1, end, "image", "picture");
  note_linked (wire, text + 1, end, "use", "drawing");
}

gboolean
source_has_pictures (GBytes *source)
{
  gsize size;
  const char *text = g_bytes_get_data (source, &size);
  return memmem (text, size, "data:image/", 11) != NULL && source_has_element (source, "image");
}

gboolean
source_has_element (GBytes     *source,
                    const char *element)
{
  gsize size;
  const char *text = g_bytes_get_data (source, &size);
  return next_tag (text + 1, text + size, element) != NULL;
}

/* What is shown of an element up to its end tag, in bytes: what stands outside of tags. @shown_text: (nullable): it is added there. */
static gsize
shown_in (const char *tag,
          const char *end,
          GString    *shown_text)
{
  gsize shown = 0;
  gboolean inside = TRUE;       /* of the start tag */
  for (const char *at = tag; at < end; at++)
    {
      if (*at == '<' && end - at >= 6 && memcmp (at, "</text", 6) == 0)
        break;
      if (*at == '<' || *at == '>')
        inside = *at == '<';
      else if (!inside)
        {
          shown++;
          if (shown_text != NULL)
            g_string_append_c (shown_text, *at);
        }
    }
  return shown;
}

/* "&#20013;" and "&#x4e2d;" (XML 1.0, 4.1); references by name are of no letter that a font could lack. */
static char *
with_references_resolved (const char *text)
{
  GString *out = g_string_new (NULL);
  while (*text != '\0')
    {
      char *after = NULL;
      const gboolean is_hex = g_str_has_prefix (text, "&#x");
      const guint64 c = is_hex || g_str_has_prefix (text, "&#") ? g_ascii_strtoull (text + (is_hex ? 3 : 2), &after, is_hex ? 16 : 10) : 0;
      if (c > 0 && c <= 0x10ffff && *after == ';' && g_unichar_validate ((gunichar) c))
        {
          g_string_append_unichar (out, (gunichar) c);
          text = after + 1;
        }
      else
        g_string_append_c (out, *text++);
    }
  return g_string_free (out, FALSE);
}

char *
source_shown_text (GBytes *source)
{
  gsize size;
  const char *text = g_bytes_get_data (source, &size);
  const char *end = text + size;
  g_autoptr (GString) shown = g_string_new (NULL);
  for (const char *tag = next_tag (text + 1, end, "text"); tag != NULL; tag = next_tag (tag + 4, end, "text"))
    shown_in (tag, end, shown);
  if (!g_utf8_validate (shown->str, (gssize) shown->len, NULL))
    return g_strdup ("");
  return with_references_resolved (shown->str);
}

void
source_check_texts (Wire   *wire,
                    GBytes *source)
{
  gsize size;
  const char *text = g_bytes_get_data (source, &size);
  const char *end = text + size;
  for (const char *tag = next_tag (text + 1, end, "text"); tag != NULL; tag = next_tag (tag + 4, end, "text"))
    {
      const gsize shown = shown_in (tag, end, NULL);
      if (shown > TEXT_MAX)
        wire_fail (wire, RHY_ERROR_LIMIT,
                   "a text of %" G_GSIZE_FORMAT " bytes in it, more than the %u allowed: split it, or turn it into outlines in the drawing program",
                   shown, TEXT_MAX);
      tag = MIN (tag + shown, end - 4);
    }
}

gsize
source_longest_attribute (GBytes *source)
{
  gsize size;
  const char *text = g_bytes_get_data (source, &size);
  const char *end = text + size;
  gsize longest = 0;
  for (const char *at = text; at < end;)
    {
      /* No value holds a "<": an apostrophe in a text or a comment does not pair with one in the next tag. */
      const char *stop = memchr (at, '<', (gsize) (end - at));
      if (stop == NULL)
        stop = end;
      const char *quote = memchr (at, '"', (gsize) (stop - at));
      const char *other = memchr (at, '\'', (gsize) ((quote != NULL ? quote : stop) - at));
      if (other != NULL)
        quote = other;
      const char *close = quote != NULL ? memchr (quote + 1, *quote, (gsize) (stop - quote - 1)) : NULL;
      if (close == NULL)
        {
          at = stop + 1;
          continue;
        }
      const gsize length = (gsize) (close - quote - 1);
      /* A picture in the file has limits of its own. */
      if (!(length > 5 && g_ascii_strncasecmp (quote + 1, "data:", 5) == 0))
        longest = MAX (longest, length);
      at = close + 1;
    }
  return longest;
}

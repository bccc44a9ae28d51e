/* SPDX-License-Identifier: LGPL-2.1-or-later */
#include "words.h"

static void
find_catalogues (void)
{
  static gsize found = 0;
  if (!g_once_init_enter (&found))
    return;
  const char *folder = g_getenv ("RHYTON_LOCALEDIR");
  bindtextdomain (GETTEXT_PACKAGE, folder != NULL ? folder : RHYTON_LOCALEDIR);
  bind_textdomain_codeset (GETTEXT_PACKAGE, "UTF-8");
  g_once_init_leave (&found, 1);
}

RhyWords
rhy_words_begin (void)
{
  find_catalogues ();
  const locale_t before = uselocale ((locale_t) 0);
  const locale_t base = duplocale (before);
  const locale_t own = base != (locale_t) 0 ? newlocale (LC_MESSAGES_MASK, "", base) : (locale_t) 0;
  /* A language that the system does not know is as good as none. */
  if (own == (locale_t) 0)
    {
      if (base != (locale_t) 0)
        freelocale (base);
      return (RhyWords) { (locale_t) 0, (locale_t) 0 };
    }
  uselocale (own);
  return (RhyWords) { before, own };
}

void
rhy_words_end (RhyWords *self)
{
  if (self->own == (locale_t) 0)
    return;
  uselocale (self->before);
  freelocale (self->own);
}

/* SPDX-License-Identifier: LGPL-2.1-or-later */
#include "config.h"

#include "print.h"

#include <math.h>

#include <locale.h>
#include <stdarg.h>
#include <string.h>

/* "-0.00" is a rounding's sign and no number's: it reads as a slip. */
static void
drop_signs_of_zero (char *text)
{
  char *to = text;
  for (const char *p = text; *p != '\0'; p++)
    {
      if (*p == '-' && (p == text || !g_ascii_isalnum (p[-1])))
        {
          const gsize digits = strspn (p + 1, "0123456789.");
          const gsize zeros = strspn (p + 1, "0.");
          if (zeros > 0 && zeros == digits && !g_ascii_isalpha (p[1 + digits]))
            continue;
        }
      *to++ = *p;
    }
  *to = '\0';
}

static char *
print (const char *format,
       va_list     args)
{
  /* Only this thread, only these lines: the program keeps the locale it chose. */
  const locale_t plain = newlocale (LC_NUMERIC_MASK, "C", (locale_t) 0);
  const locale_t before = plain != (locale_t) 0 ? uselocale (plain) : (locale_t) 0;
  char *text = g_strdup_vprintf (format, args);
  if (plain != (locale_t) 0)
    {
      uselocale (before);
      freelocale (plain);
    }
  drop_signs_of_zero (text);
  return text;
}

char *
rhy_print (const char *format,
           ...)
{
  va_list args;
  va_start (args, format);
  char *text = print (format, args);
  va_end (args);
  return text;
}

void
rhy_print_error (GError    **error,
                 GQuark      domain,
                 int         code,
                 const char *format,
                 ...)
{
  va_list args;
  va_start (args, format);
  g_autofree char *text = print (format, args);
  va_end (args);
  g_set_error_literal (error, domain, code, text);
}

double
rhy_round_up (double mm)
{
  return ceil (mm * 10.0 - 1e-3) / 10.0;
}

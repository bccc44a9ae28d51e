/* SPDX-License-Identifier: LGPL-2.1-or-later */
#pragma once

#include <cairo.h>
#include <librsvg/rsvg.h>
#include <stdlib.h>
#include <string.h>

/* Drawings with everything that is no outline in one colour, and librsvg's own
 * pictures of them. */

/* 200 x 100 pixels, two a unit, so that whatever librsvg rounds to pixels
 * (cells of patterns, pictures for masks) is whole already. */
static const int WIDTH = 200;
static const int HEIGHT = 100;

static cairo_surface_t *
reference (const char *svg)
{
  GError *error = NULL;
  RsvgHandle *handle = rsvg_handle_new_from_data ((const guint8 *) svg, strlen (svg), &error);
  assert_no_error (error);
  rsvg_handle_set_dpi (handle, 96.0);
  cairo_surface_t *surface = cairo_image_surface_create (CAIRO_FORMAT_ARGB32, WIDTH, HEIGHT);
  cairo_t *cr = cairo_create (surface);
  const RsvgRectangle viewport = { 0, 0, WIDTH, HEIGHT };
  assert_true (rsvg_handle_render_document (handle, cr, &viewport, NULL));
  cairo_destroy (cr);
  g_object_unref (handle);
  return surface;
}

/* How many of the pixels differ by more than @allowed of 255 in a channel. */
static guint
differing (cairo_surface_t *a,
           cairo_surface_t *b,
           int              allowed)
{
  guint n = 0;
  cairo_surface_flush (a);
  cairo_surface_flush (b);
  const guint32 *pa = (const guint32 *) (gconstpointer) cairo_image_surface_get_data (a);
  const guint32 *pb = (const guint32 *) (gconstpointer) cairo_image_surface_get_data (b);
  for (int i = 0; i < WIDTH * HEIGHT; i++)
    {
      gboolean differs = FALSE;
      for (int shift = 0; shift < 32; shift += 8)
        differs = differs || abs ((int) (pa[i] >> shift & 255) - (int) (pb[i] >> shift & 255)) > allowed;
      n += differs;
    }
  return n;
}

static char *
svg_of (const char *content)
{
  return g_strconcat ("<svg xmlns='http://www.w3.org/2000/svg' xmlns:xlink='http://www.w3.org/1999/xlink' "
                      "width='200' height='100' viewBox='0 0 100 50'>", content, "</svg>", NULL);
}

#define STOPS "<stop stop-color='#c00'/><stop offset='.4' stop-color='#fc0' stop-opacity='.4'/><stop offset='1' stop-color='#00c'/>"
/* A chequer of 2 x 2 pixels, red and half clear green, PNG. */
#define CHEQUER "data:image/png;base64,iVBORw0KGgoAAAANSUhEUgAAAAIAAAACCAYAAABytg0kAAAAFElEQVR4nGP4z8DwHwgbQFQDiAMAPlsG+6q0BZYAAAAASUVORK5CYII="

typedef struct { const char *name, *content; } Row;

static const Row rows[] = {
  { "linear gradient", "<linearGradient id='g'>" STOPS "</linearGradient><rect x='10' y='10' width='80' height='30' fill='url(#g)'/>" },
  { "linear gradient, turned, reflected, faint",
    "<linearGradient id='g' spreadMethod='reflect' x2='.3' gradientTransform='rotate(20)'>" STOPS "</linearGradient>"
    "<circle cx='50' cy='25' r='20' fill='url(#g)' fill-opacity='.6'/>" },
  { "radial gradient with a focus, repeated",
    "<radialGradient id='g' fx='.4' fy='.45' r='.3' spreadMethod='repeat'>" STOPS "</radialGradient><ellipse cx='50' cy='25' rx='45' ry='20' fill='url(#g)'/>" },
  { "radial gradient from a circle to a circle",
    "<radialGradient id='g' fx='.4' fr='.2' r='.5'>" STOPS "</radialGradient><ellipse cx='50' cy='25' rx='45' ry='20' fill='url(#g)'/>" },
  { "gradient on a stroke with a skewed pen",
    "<linearGradient id='g'>" STOPS "</linearGradient><g transform='translate(30,5) skewX(30) scale(1,.5)'>"
    "<path d='M5,10C60,0 0,70 60,70' fill='none' stroke='url(#g)' stroke-width='9' stroke-dasharray='20 5'/></g>" },
  { "gradients on fill and stroke of one path",
    "<linearGradient id='g'>" STOPS "</linearGradient><radialGradient id='h'>" STOPS "</radialGradient>"
    "<rect x='20' y='10' width='50' height='30' fill='url(#g)' stroke='url(#h)' stroke-width='6' transform='rotate(7)'/>" },
  { "picture, turned, faint, cut", "<clipPath id='c'><circle cx='50' cy='20' r='20'/></clipPath><g clip-path='url(#c)'>"
    "<image x='30' y='0' width='40' height='40' transform='rotate(5)' opacity='.7' xlink:href='" CHEQUER "'/></g>" },
  { "picture that fills the page", "<image width='100' height='50' preserveAspectRatio='none' xlink:href='" CHEQUER "'/>" },
  { "pattern of outlines", "<pattern id='p' width='8' height='8' patternUnits='userSpaceOnUse'><circle cx='4' cy='4' r='3' fill='#080'/></pattern>"
    "<path d='M10,10H90L50,45Z' fill='url(#p)'/>" },
  { "pattern on a stroke", "<pattern id='p' width='8' height='8' patternUnits='userSpaceOnUse'><rect width='4' height='8' fill='#080'/></pattern>"
    "<path d='M10,10H90L50,40Z' fill='none' stroke='url(#p)' stroke-width='8'/>" },
  { "mask", "<linearGradient id='g'><stop stop-color='#fff'/><stop offset='1' stop-color='#000'/></linearGradient>"
    "<mask id='m'><rect width='100' height='50' fill='url(#g)'/></mask><circle cx='50' cy='25' r='20' fill='#b30' mask='url(#m)'/>" },
  { "opacity of a group that overlaps", "<g opacity='.5'><rect x='10' y='10' width='40' height='30' fill='#c00'/>"
    "<rect x='30' y='15' width='40' height='30' fill='#00c'/></g>" },
  { "opacity of a group that does not", "<g opacity='.5'><rect x='10' y='10' width='20' height='30' fill='#c00'/>"
    "<rect x='40' y='15' width='40' height='30' fill='#00c'/></g>" },
  { "blend mode over ink and over nothing", "<rect x='10' y='5' width='40' height='30' fill='#fc0' fill-opacity='.8'/>"
    "<circle cx='50' cy='25' r='20' fill='#08c' fill-opacity='.7' style='mix-blend-mode:multiply'/><rect x='60' y='20' width='30' height='10' fill='#333'/>" },
  { "blend mode inside a faint group", "<rect width='100' height='20' fill='#9c6'/><g opacity='.6'><rect x='10' y='5' width='40' height='30' fill='#fc0'/>"
    "<circle cx='50' cy='25' r='20' fill='#08c' style='mix-blend-mode:difference'/></g>" },
  { "filter", "<filter id='f'><feGaussianBlur stdDeviation='2'/></filter><rect x='30' y='10' width='40' height='30' fill='#063' filter='url(#f)'/>" },
};

/* SPDX-License-Identifier: LGPL-2.1-or-later */
#include "config.h"

#include "rhyton-stage.h"

#define GAP_PX 8
#define SIDE_SHARE 0.30
#define SIDE_MIN_PX 200
#define SIDE_MAX_PX 460

struct _RhytonStage
{
  RhytonPart        parent_instance;

  /* Template children */
  GtkWidget        *vessel_card;
  GtkWidget        *pattern_card;
  GtkWidget        *bed_card;
  RhytonVesselView *vessel_view;
  RhytonFlatView   *pattern_view;
  RhytonFlatView   *bed_view;

  GtkWidget        *large;      /* one of the cards */
};

enum { PROP_LARGE = 1, N_PROPS };

static GParamSpec *properties[N_PROPS];

G_DEFINE_FINAL_TYPE (RhytonStage, rhyton_stage, RHYTON_TYPE_PART)

void
rhyton_stage_set_large (RhytonStage *self,
                        const char  *name)
{
  g_return_if_fail (RHYTON_IS_STAGE (self));

  GtkWidget *large = self->vessel_card;
  if (g_strcmp0 (name, "pattern") == 0)
    large = self->pattern_card;
  else if (g_strcmp0 (name, "bed") == 0)
    large = self->bed_card;
  if (self->large == large)
    return;
  self->large = large;
  rhyton_flat_view_fit (self->pattern_view);
  rhyton_flat_view_fit (self->bed_view);
  gtk_widget_queue_allocate (GTK_WIDGET (self));
  g_object_notify_by_pspec (G_OBJECT (self), properties[PROP_LARGE]);
}

const char *
rhyton_stage_get_large (RhytonStage *self)
{
  g_return_val_if_fail (RHYTON_IS_STAGE (self), NULL);

  if (self->large == self->pattern_card)
    return "pattern";
  return self->large == self->bed_card ? "bed" : "vessel";
}

RhytonVesselView *
rhyton_stage_get_vessel_view (RhytonStage *self)
{
  g_return_val_if_fail (RHYTON_IS_STAGE (self), NULL);
  return self->vessel_view;
}

RhytonFlatView *
rhyton_stage_get_pattern_view (RhytonStage *self)
{
  g_return_val_if_fail (RHYTON_IS_STAGE (self), NULL);
  return self->pattern_view;
}

RhytonFlatView *
rhyton_stage_get_bed_view (RhytonStage *self)
{
  g_return_val_if_fail (RHYTON_IS_STAGE (self), NULL);
  return self->bed_view;
}

static void
point_at (RhytonStage        *self,
          const RhyWallPoint *at)
{
  rhyton_view_point_at (RHYTON_VIEW (self->vessel_view), at);
  rhyton_view_point_at (RHYTON_VIEW (self->pattern_view), at);
  rhyton_view_point_at (RHYTON_VIEW (self->bed_view), at);
}

void
rhyton_stage_point_at (RhytonStage  *self,
                       RhyWallPoint  at)
{
  g_return_if_fail (RHYTON_IS_STAGE (self));
  rhyton_vessel_view_face (self->vessel_view, at.angle);
  point_at (self, &at);
}

/* What was said of that place may not be true any more. */
static void
rhyton_stage_job_changed (RhytonPart *part)
{
  point_at (RHYTON_STAGE (part), NULL);
}

gboolean
rhyton_stage_is_busy (RhytonStage *self)
{
  g_return_val_if_fail (RHYTON_IS_STAGE (self), FALSE);
  return rhyton_view_is_busy (RHYTON_VIEW (self->vessel_view)) || rhyton_view_is_busy (RHYTON_VIEW (self->pattern_view))
         || rhyton_view_is_busy (RHYTON_VIEW (self->bed_view));
}

static void
rhyton_stage_measure (GtkWidget      *widget,
                      GtkOrientation  orientation,
                      int             for_size,
                      int            *minimum,
                      int            *natural,
                      int            *minimum_baseline,
                      int            *natural_baseline)
{
  int most = 0;

  /* The views themselves take any size; their names and buttons do not. */
  for (GtkWidget *child = gtk_widget_get_first_child (widget); child != NULL;
       child = gtk_widget_get_next_sibling (child))
    {
      int least;
      gtk_widget_measure (child, orientation, -1, &least, NULL, NULL, NULL);
      most = MAX (most, least);
    }
  const gboolean across = orientation == GTK_ORIENTATION_HORIZONTAL;
  *minimum = across ? MAX (most, SIDE_MIN_PX) + GAP_PX + MAX (most, 240) : MAX (2 * most + GAP_PX, 320);
  *natural = across ? 900 : 640;
  *natural = MAX (*natural, *minimum);
}

static void
allocate (GtkWidget *card,
          int        x,
          int        y,
          int        width,
          int        height)
{
  gtk_widget_size_allocate (card, &(GtkAllocation) { x, y, width, height }, -1);
}

static void
rhyton_stage_size_allocate (GtkWidget *widget,
                            int        width,
                            int        height,
                            int        baseline)
{
  RhytonStage *self = RHYTON_STAGE (widget);
  const int side = CLAMP ((int) (SIDE_SHARE * width), SIDE_MIN_PX, SIDE_MAX_PX);
  const int upper = (height - GAP_PX) / 2;
  GtkWidget *const cards[] = { self->vessel_card, self->pattern_card, self->bed_card };
  int y = 0;

  for (gsize i = 0; i < G_N_ELEMENTS (cards); i++)
    {
      if (cards[i] == self->large)
        {
          allocate (cards[i], 0, 0, width - side - GAP_PX, height);
          continue;
        }
      allocate (cards[i], width - side, y, side, y == 0 ? upper : height - upper - GAP_PX);
      y = upper + GAP_PX;
    }
}

static void
rhyton_stage_set_property (GObject      *object,
                           guint         id,
                           const GValue *value,
                           GParamSpec   *pspec)
{
  if (id == PROP_LARGE)
    rhyton_stage_set_large (RHYTON_STAGE (object), g_value_get_string (value));
  else
    G_OBJECT_WARN_INVALID_PROPERTY_ID (object, id, pspec);
}

static void
rhyton_stage_get_property (GObject    *object,
                           guint       id,
                           GValue     *value,
                           GParamSpec *pspec)
{
  if (id == PROP_LARGE)
    g_value_set_string (value, rhyton_stage_get_large (RHYTON_STAGE (object)));
  else
    G_OBJECT_WARN_INVALID_PROPERTY_ID (object, id, pspec);
}

static void
rhyton_stage_dispose (GObject *object)
{
  gtk_widget_dispose_template (GTK_WIDGET (object), RHYTON_TYPE_STAGE);
  G_OBJECT_CLASS (rhyton_stage_parent_class)->dispose (object);
}

static void
rhyton_stage_class_init (RhytonStageClass *klass)
{
  GObjectClass *object_class = G_OBJECT_CLASS (klass);
  GtkWidgetClass *widget_class = GTK_WIDGET_CLASS (klass);

  object_class->set_property = rhyton_stage_set_property;
  object_class->get_property = rhyton_stage_get_property;
  object_class->dispose = rhyton_stage_dispose;
  RHYTON_PART_CLASS (klass)->job_changed = rhyton_stage_job_changed;
  widget_class->measure = rhyton_stage_measure;
  widget_class->size_allocate = rhyton_stage_size_allocate;

  properties[PROP_LARGE] = g_param_spec_string ("large", NULL, NULL, "vessel",
                                                G_PARAM_READWRITE | G_PARAM_STATIC_STRINGS
                                                | G_PARAM_EXPLICIT_NOTIFY);
  g_object_class_install_properties (object_class, N_PROPS, properties);

  g_type_ensure (RHYTON_TYPE_VESSEL_VIEW);
  g_type_ensure (RHYTON_TYPE_FLAT_VIEW);
  gtk_widget_class_set_template_from_resource (widget_class, "/org/rhyton/rhyton/rhyton-stage.ui");
  gtk_widget_class_bind_template_child (widget_class, RhytonStage, vessel_card);
  gtk_widget_class_bind_template_child (widget_class, RhytonStage, pattern_card);
  gtk_widget_class_bind_template_child (widget_class, RhytonStage, bed_card);
  gtk_widget_class_bind_template_child (widget_class, RhytonStage, vessel_view);
  gtk_widget_class_bind_template_child (widget_class, RhytonStage, pattern_view);
  gtk_widget_class_bind_template_child (widget_class, RhytonStage, bed_view);
}

static void
rhyton_stage_init (RhytonStage *self)
{
  gtk_widget_init_template (GTK_WIDGET (self));
  self->large = self->vessel_card;
}

/* SPDX-License-Identifier: LGPL-2.1-or-later */
#include "config.h"

#include "rhyton-part.h"

typedef struct
{
  RhytonDocument *document;
  GSignalGroup   *signals;
  gboolean        job_missed;   /* while nobody saw it */
  gboolean        plan_missed;
} RhytonPartPrivate;

enum { PROP_DOCUMENT = 1, N_PROPS };

static GParamSpec *properties[N_PROPS];

G_DEFINE_ABSTRACT_TYPE_WITH_PRIVATE (RhytonPart, rhyton_part, GTK_TYPE_WIDGET)

/* Nobody pays for what is not in sight: a hand that drags artwork changes the job and the plan
 * at every frame, and most parts are in panels of other steps. */
static gboolean
is_followed (RhytonPart *self)
{
  return RHYTON_PART_GET_CLASS (self)->follows_unseen || gtk_widget_get_mapped (GTK_WIDGET (self));
}

static void
job_changed (RhytonPart *self)
{
  RhytonPartPrivate *priv = rhyton_part_get_instance_private (self);
  RhytonPartClass *klass = RHYTON_PART_GET_CLASS (self);

  priv->job_missed = !is_followed (self);
  if (!priv->job_missed && klass->job_changed != NULL)
    klass->job_changed (self);
}

static void
plan_changed (RhytonPart *self)
{
  RhytonPartPrivate *priv = rhyton_part_get_instance_private (self);
  RhytonPartClass *klass = RHYTON_PART_GET_CLASS (self);

  priv->plan_missed = !is_followed (self);
  if (!priv->plan_missed && klass->plan_changed != NULL)
    klass->plan_changed (self);
}

static void
rhyton_part_map (GtkWidget *widget)
{
  RhytonPart *self = RHYTON_PART (widget);
  RhytonPartPrivate *priv = rhyton_part_get_instance_private (self);

  GTK_WIDGET_CLASS (rhyton_part_parent_class)->map (widget);
  if (priv->document != NULL && priv->job_missed)
    job_changed (self);
  if (priv->document != NULL && priv->plan_missed)
    plan_changed (self);
}

RhytonDocument *
rhyton_part_get_document (RhytonPart *self)
{
  RhytonPartPrivate *priv = rhyton_part_get_instance_private (self);
  return priv->document;
}

void
rhyton_part_set_document (RhytonPart     *self,
                          RhytonDocument *document)
{
  g_return_if_fail (RHYTON_IS_PART (self));
  RhytonPartPrivate *priv = rhyton_part_get_instance_private (self);

  if (!g_set_object (&priv->document, document))
    return;
  g_signal_group_set_target (priv->signals, document);
  g_object_notify_by_pspec (G_OBJECT (self), properties[PROP_DOCUMENT]);
  if (document == NULL)
    return;
  job_changed (self);
  plan_changed (self);
}

static void
rhyton_part_get_property (GObject    *object,
                          guint       id,
                          GValue     *value,
                          GParamSpec *pspec)
{
  if (id == PROP_DOCUMENT)
    g_value_set_object (value, rhyton_part_get_document (RHYTON_PART (object)));
  else
    G_OBJECT_WARN_INVALID_PROPERTY_ID (object, id, pspec);
}

static void
rhyton_part_set_property (GObject      *object,
                          guint         id,
                          const GValue *value,
                          GParamSpec   *pspec)
{
  if (id == PROP_DOCUMENT)
    rhyton_part_set_document (RHYTON_PART (object), g_value_get_object (value));
  else
    G_OBJECT_WARN_INVALID_PROPERTY_ID (object, id, pspec);
}

static void
rhyton_part_dispose (GObject *object)
{
  RhytonPartPrivate *priv = rhyton_part_get_instance_private (RHYTON_PART (object));

  g_clear_object (&priv->signals);
  g_clear_object (&priv->document);
  G_OBJECT_CLASS (rhyton_part_parent_class)->dispose (object);
}

static void
rhyton_part_class_init (RhytonPartClass *klass)
{
  GObjectClass *object_class = G_OBJECT_CLASS (klass);

  object_class->get_property = rhyton_part_get_property;
  object_class->set_property = rhyton_part_set_property;
  object_class->dispose = rhyton_part_dispose;
  GTK_WIDGET_CLASS (klass)->map = rhyton_part_map;

  properties[PROP_DOCUMENT] = g_param_spec_object ("document", NULL, NULL, RHYTON_TYPE_DOCUMENT,
                                                   G_PARAM_READWRITE | G_PARAM_STATIC_STRINGS
                                                   | G_PARAM_EXPLICIT_NOTIFY);
  g_object_class_install_properties (object_class, N_PROPS, properties);
}

static void
rhyton_part_init (RhytonPart *self)
{
  RhytonPartPrivate *priv = rhyton_part_get_instance_private (self);

  priv->signals = g_signal_group_new (RHYTON_TYPE_DOCUMENT);
  g_signal_group_connect_swapped (priv->signals, "notify::job", G_CALLBACK (job_changed), self);
  g_signal_group_connect_swapped (priv->signals, "notify::inches", G_CALLBACK (job_changed), self);
  g_signal_group_connect_swapped (priv->signals, "notify::selected", G_CALLBACK (job_changed), self);
  g_signal_group_connect_swapped (priv->signals, "notify::plan", G_CALLBACK (plan_changed), self);
  g_signal_group_connect_swapped (priv->signals, "notify::held", G_CALLBACK (plan_changed), self);
  g_signal_group_connect_swapped (priv->signals, "notify::verdict", G_CALLBACK (plan_changed), self);
  g_signal_group_connect_swapped (priv->signals, "notify::trouble", G_CALLBACK (plan_changed), self);
}

/* SPDX-License-Identifier: LGPL-2.1-or-later */
#include "config.h"

#include "rhyton-picture-maker.h"

#include <math.h>

#include "rhyton-making.h"
#include "rhyton-measure-entry.h"

/* From a little above, as the view begins. */
#define LIFT_DEG 11.5

struct _RhytonPictureMaker
{
  RhytonPart          parent_instance;

  /* Template children */
  GtkWidget          *box;
  GtkDropDown        *size;
  RhytonMeasureEntry *turn;
  RhytonMeasureEntry *lift;
  GtkCheckButton     *stretch;

  double              turn_deg;
  double              lift_deg;
};

G_DEFINE_FINAL_TYPE (RhytonPictureMaker, rhyton_picture_maker, RHYTON_TYPE_PART)

typedef struct
{
  RhyCamera       camera;
  RhySceneOptions options;
  int             width, height;
} Order;

/* In a thread. */
static GBytes *
make_picture (RhyJob        *job,
              RhyPlan       *plan,
              const char    *path,
              gpointer       data,
              GCancellable  *cancellable,
              GError       **error)
{
  const Order *order = data;

  if (!g_str_has_suffix (path, ".png"))
    {
      g_set_error (error, RHY_ERROR, RHY_ERROR_UNSUPPORTED, "%s: the picture is a PNG: give it a name that ends in .png", path);
      return NULL;
    }
  g_autoptr (RhyScene) scene = rhy_scene_new_burnt (plan, error);
  if (scene == NULL)
    return NULL;
  return rhy_scene_to_png (scene, &order->camera, &order->options, order->width, order->height, error);
}

static const RhytonProduct product = { "Save the Picture", "-view.png", FALSE, TRUE, make_picture };

static Order *
new_order (RhytonPictureMaker *self)
{
  /* In the order of the list in the template. */
  static const int sizes[][2] = { { 1280, 960 }, { 2560, 1920 }, { 640, 480 } };
  const guint i = MIN (gtk_drop_down_get_selected (self->size), G_N_ELEMENTS (sizes) - 1);
  Order *order = g_new (Order, 1);

  *order = (Order) { .camera = RHY_CAMERA_INIT, .options = RHY_SCENE_OPTIONS_INIT, .width = sizes[i][0], .height = sizes[i][1] };
  order->camera.turn_rad = self->turn_deg / 180.0 * G_PI;
  order->camera.lift_rad = self->lift_deg / 180.0 * G_PI;
  order->options.stretch = gtk_check_button_get_active (self->stretch);
  return order;
}

static void
on_turn (RhytonMeasureEntry *entry,
         double              value,
         RhytonPictureMaker *self)
{
  self->turn_deg = value;
  rhyton_measure_entry_set_value (entry, value);
}

static void
on_lift (RhytonMeasureEntry *entry,
         double              value,
         RhytonPictureMaker *self)
{
  if (!(value >= -89.0 && value <= 89.0))
    {
      rhyton_measure_entry_refuse (entry, "From -89 to 89 degrees.");
      return;
    }
  self->lift_deg = value;
  rhyton_measure_entry_set_value (entry, value);
}

static void
on_save (RhytonPictureMaker *self)
{
  rhyton_making_ask (RHYTON_PART (self), &product, new_order (self), g_free);
}

void
rhyton_picture_maker_save_to (RhytonPictureMaker *self,
                              GFile              *file)
{
  g_return_if_fail (RHYTON_IS_PICTURE_MAKER (self) && G_IS_FILE (file));
  rhyton_making_save (RHYTON_PART (self), &product, new_order (self), g_free, file);
}

static void
rhyton_picture_maker_dispose (GObject *object)
{
  gtk_widget_dispose_template (GTK_WIDGET (object), RHYTON_TYPE_PICTURE_MAKER);
  G_OBJECT_CLASS (rhyton_picture_maker_parent_class)->dispose (object);
}

static void
rhyton_picture_maker_class_init (RhytonPictureMakerClass *klass)
{
  GtkWidgetClass *widget_class = GTK_WIDGET_CLASS (klass);

  G_OBJECT_CLASS (klass)->dispose = rhyton_picture_maker_dispose;

  g_type_ensure (RHYTON_TYPE_MEASURE_ENTRY);
  gtk_widget_class_set_layout_manager_type (widget_class, GTK_TYPE_BIN_LAYOUT);
  gtk_widget_class_set_template_from_resource (widget_class, "/org/rhyton/rhyton/rhyton-picture-maker.ui");
  gtk_widget_class_bind_template_child (widget_class, RhytonPictureMaker, box);
  gtk_widget_class_bind_template_child (widget_class, RhytonPictureMaker, size);
  gtk_widget_class_bind_template_child (widget_class, RhytonPictureMaker, turn);
  gtk_widget_class_bind_template_child (widget_class, RhytonPictureMaker, lift);
  gtk_widget_class_bind_template_child (widget_class, RhytonPictureMaker, stretch);
  gtk_widget_class_bind_template_callback (widget_class, on_turn);
  gtk_widget_class_bind_template_callback (widget_class, on_lift);
  gtk_widget_class_bind_template_callback (widget_class, on_save);
}

static void
rhyton_picture_maker_init (RhytonPictureMaker *self)
{
  self->lift_deg = LIFT_DEG;
  gtk_widget_init_template (GTK_WIDGET (self));
  rhyton_measure_entry_set_value (self->turn, self->turn_deg);
  rhyton_measure_entry_set_value (self->lift, self->lift_deg);
}

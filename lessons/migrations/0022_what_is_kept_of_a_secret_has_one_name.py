from django.db import migrations


class Migration(migrations.Migration):
    dependencies = [("lessons", "0021_who_comes_along_to_catch_up")]

    operations = [migrations.RenameField("coverlink", "token_hash", "secret_hash")]

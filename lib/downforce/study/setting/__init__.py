"""Behind a setting: the gauge, its width, its reasons. The setting itself: `study/pressure_setting.py`."""

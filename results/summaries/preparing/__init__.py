"""What a coordinator sees while a course is being prepared."""

"""Every check of a job: functions from a worked-out job to findings."""

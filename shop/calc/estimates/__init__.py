"""Hours of a build to come, as ranges made from the template's figures and past builds."""

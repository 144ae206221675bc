"""An upright picture -> the opening, measured, with one joint covariance."""

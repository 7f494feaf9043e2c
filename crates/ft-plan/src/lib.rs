//! Makes the plan.

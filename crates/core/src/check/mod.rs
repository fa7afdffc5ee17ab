//! What must hold before anything is cut.

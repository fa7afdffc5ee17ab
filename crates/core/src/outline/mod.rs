//! From nodes in the photo to lines and arcs on the plate.

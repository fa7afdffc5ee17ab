//! The proof plate as binary STL. The format knows no unit: the head says that figures are mm, for who reads it.

use super::ProofPlate;
use super::ascii::ascii;
use stl_io::{Normal, Triangle, Vertex};

/// Length of the head, bytes.
const HEAD: usize = 80;

/// The bytes of the STL of a plate.
///
/// # Errors
/// None while memory is written to.
pub fn stl(plate: &ProofPlate) -> std::io::Result<Vec<u8>> {
    let triangles: Vec<Triangle> = plate.mesh.triangles.iter().map(|&t| triangle(plate.mesh.corners(t))).collect();
    let mut bytes = Vec::with_capacity(HEAD + 4 + 50 * triangles.len());
    stl_io::write_stl(&mut bytes, triangles.iter())?;
    let said = head(plate);
    bytes[..said.len()].copy_from_slice(said.as_bytes());
    Ok(bytes)
}

/// What the head says: unit and what was allowed for, then as much of the title as there is room for. It never starts with
/// `solid`, by which readers take a file for text.
fn head(plate: &ProofPlate) -> String {
    let options = &plate.options;
    let mut head = format!(
        "mm; {} thick; +{} % shrink; holes +{}; {}",
        options.thickness_mm,
        options.shrink_percent,
        options.hole_allowance_mm,
        ascii(&plate.title)
    );
    head.truncate(HEAD);
    head
}

fn triangle(corners: [[f32; 3]; 3]) -> Triangle {
    let [a, b, c] = corners.map(|corner| corner.map(f64::from));
    let [u, v] = [b, c].map(|to| [to[0] - a[0], to[1] - a[1], to[2] - a[2]]);
    let normal = [u[1] * v[2] - u[2] * v[1], u[2] * v[0] - u[0] * v[2], u[0] * v[1] - u[1] * v[0]];
    let length = normal.iter().map(|n| n * n).sum::<f64>().sqrt();
    // `0 +` turns a -0 into a 0, so that nothing depends on which way round a product was zero.
    let normal = Normal::new(normal.map(|n| (0.0 + n / length) as f32));
    Triangle { normal, vertices: corners.map(Vertex::new) }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::export::plate::tests::{drawing, options};
    use crate::export::proof_plate;

    #[test]
    fn the_head_says_what_the_figures_are() {
        let plate = proof_plate(&drawing(), &options()).unwrap();
        let bytes = stl(&plate).unwrap();
        assert!(
            bytes.starts_with(b"mm; 3 thick; +0.3 % shrink; holes +0.2; Flange <2> & \"cover\"\0"),
            "{:?}",
            &bytes[..80]
        );
        assert_eq!(bytes.len(), HEAD + 4 + 50 * plate.mesh.triangles.len(), "twelve floats and two bytes a triangle");
        let long = ProofPlate { title: "Käse".repeat(40), ..plate };
        assert!(stl(&long).unwrap()[..HEAD].is_ascii(), "a long title is cut off");
    }

    #[test]
    fn it_is_read_back_as_it_is() {
        let plate = proof_plate(&drawing(), &options()).unwrap();
        let read = stl_io::read_stl(&mut std::io::Cursor::new(stl(&plate).unwrap())).unwrap();
        read.validate().unwrap();
        let corners = |face: &stl_io::IndexedTriangle| face.vertices.map(|at| read.vertices[at].0);
        let same =
            read.faces.iter().zip(&plate.mesh.triangles).all(|(face, t)| corners(face) == plate.mesh.corners(*t));
        assert!(same && read.faces.len() == plate.mesh.triangles.len(), "every triangle, to the last bit");
    }
}

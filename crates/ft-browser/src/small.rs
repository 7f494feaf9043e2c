//! Pictures that are small enough for a repository.

use color_quant::NeuQuant;

/// Colours of a picture: pages have few, and the edges of letters need some between them.
const COLOURS: usize = 64;

/// A screenshot (PNG with 8 bits for each of red, green, blue and perhaps opacity) with few colours, as small as PNG makes
/// it.
///
/// # Panics
/// If it is no such picture: the browser makes no other.
pub fn small(png: &[u8]) -> Vec<u8> {
    let mut decoder = png::Decoder::new(std::io::Cursor::new(png));
    decoder.set_transformations(png::Transformations::normalize_to_color8() | png::Transformations::ALPHA);
    let mut reader = decoder.read_info().expect("a picture");
    let mut pixels = vec![0; reader.output_buffer_size().expect("a picture of some size")];
    let about = reader.next_frame(&mut pixels).expect("a whole picture");
    pixels.truncate(about.buffer_size());
    let colours = NeuQuant::new(10, COLOURS, &pixels);
    let indices: Vec<u8> = pixels.chunks_exact(4).map(|pixel| colours.index_of(pixel) as u8).collect();
    let mut out = Vec::new();
    let mut encoder = png::Encoder::new(&mut out, about.width, about.height);
    encoder.set_color(png::ColorType::Indexed);
    encoder.set_depth(png::BitDepth::Eight);
    encoder.set_palette(colours.color_map_rgb());
    encoder.set_compression(png::Compression::High);
    // Neighbouring numbers of colours mean nothing to each other.
    encoder.set_filter(png::Filter::NoFilter);
    let mut writer = encoder.write_header().expect("written to memory");
    writer.write_image_data(&indices).expect("written to memory");
    writer.finish().expect("written to memory");
    out
}

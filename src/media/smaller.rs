//! Smaller versions of a picture, for phones and for those who wait for a slow share.
//!
//! Only what a smaller version needs is taken over: the colours with their profile, turned the right way up. It can hold
//! no more of the file than the published copy does, because it is made from that copy.

use super::Form;
use image::codecs::{jpeg, png, webp};
use image::imageops::FilterType;
use image::{DynamicImage, ExtendedColorType, ImageDecoder, ImageEncoder, Limits};
use std::io::Cursor;

/// Widths of smaller versions in pixels: a column of text on a plain screen, and on one with twice the dots.
/// Common practice, no source.
const WIDTHS: [u32; 2] = [640, 1280];

/// A picture has to be so much wider than its smaller version, in per cent; else the version saves too little.
const WORTHWHILE: u64 = 125;

/// Largest copy in bytes that is taken into memory for this.
const LARGEST: u64 = 64 << 20;

/// Most memory that the pixels of one picture may take, in bytes. Cameras of 100 megapixels stay below it.
const PIXELS: u64 = 512 << 20;

/// Quality of a JPEG, of 100. Common practice, no source.
const QUALITY: u8 = 85;

/// The way in which versions are made; it goes into their names, so that another way makes other names.
pub const MANNER: &str = concat!("smaller 1, casewright ", env!("CARGO_PKG_VERSION"));

/// The widths in which a picture of this form, width in pixels and size in bytes is published besides its own.
pub fn widths(form: Form, width: u32, size: u64) -> impl Iterator<Item = u32> {
    let suits = matches!(form, Form::Jpeg | Form::Png | Form::WebP) && size <= LARGEST;
    WIDTHS.into_iter().filter(move |&it| suits && u64::from(width) * 100 >= u64::from(it) * WORTHWHILE)
}

/// A version of this width, in the same form. `None` where there can be none that is true to the picture and smaller: it
/// moves, has the colours of a printing press, or cannot be decoded.
pub fn smaller(bytes: &[u8], form: Form, width: u32) -> Option<Vec<u8>> {
    let (picture, profile) = match form {
        Form::Jpeg => decoded(jpeg::JpegDecoder::new(Cursor::new(bytes)).ok()?)?,
        Form::Png => {
            let decoder = png::PngDecoder::new(Cursor::new(bytes)).ok()?;
            if decoder.is_apng().ok()? { None } else { decoded(decoder) }?
        }
        Form::WebP => {
            let decoder = webp::WebPDecoder::new(Cursor::new(bytes)).ok()?;
            if decoder.has_animation() { None } else { decoded(decoder) }?
        }
        Form::Svg | Form::Mp4 | Form::WebM => None?,
    };
    let height = (u64::from(picture.height()) * u64::from(width) + u64::from(picture.width()) / 2)
        / u64::from(picture.width().max(1));
    // A filter of polynomials: those of sines may differ in the last bit from one platform to another.
    let picture = picture.resize_exact(width, u32::try_from(height).ok()?.max(1), FilterType::CatmullRom);
    let mut out = Vec::new();
    match form {
        Form::Jpeg => encoded(jpeg::JpegEncoder::new_with_quality(&mut out, QUALITY), &picture, profile)?,
        Form::Png => encoded(
            png::PngEncoder::new_with_quality(&mut out, png::CompressionType::Best, png::FilterType::Adaptive),
            &picture,
            profile,
        )?,
        _ => encoded(webp::WebPEncoder::new_lossless(&mut out), &picture, profile)?,
    }
    (out.len() < bytes.len()).then_some(out)
}

/// The pixels, the right way up, and the colour profile.
fn decoded(mut decoder: impl ImageDecoder) -> Option<(DynamicImage, Option<Vec<u8>>)> {
    let mut limits = Limits::no_limits();
    limits.max_alloc = Some(PIXELS);
    decoder.set_limits(limits).ok()?;
    if decoder.total_bytes() > PIXELS || matches!(decoder.original_color_type(), ExtendedColorType::Cmyk8) {
        return None;
    }
    let profile = decoder.icc_profile().ok()?;
    let turned = decoder.orientation().ok()?;
    let mut picture = DynamicImage::from_decoder(decoder).ok()?;
    picture.apply_orientation(turned);
    Some((picture, profile))
}

fn encoded(mut encoder: impl ImageEncoder, picture: &DynamicImage, profile: Option<Vec<u8>>) -> Option<()> {
    if let Some(profile) = profile {
        encoder.set_icc_profile(profile).ok()?;
    }
    picture.write_with_encoder(encoder).ok()
}

#[cfg(test)]
mod tests {
    use super::*;
    use image::{Rgb, RgbImage};

    /// Left half dark, right half light.
    fn halves(width: u32, height: u32) -> DynamicImage {
        RgbImage::from_fn(width, height, |x, _| if x < width / 2 { Rgb([20, 30, 40]) } else { Rgb([200, 210, 220]) })
            .into()
    }

    fn written(picture: &DynamicImage, form: Form) -> Vec<u8> {
        let mut out = Vec::new();
        match form {
            Form::Jpeg => encoded(jpeg::JpegEncoder::new_with_quality(&mut out, 95), picture, None),
            Form::Png => encoded(png::PngEncoder::new(&mut out), picture, None),
            _ => encoded(webp::WebPEncoder::new_lossless(&mut out), picture, None),
        }
        .expect("it encodes");
        out
    }

    /// A JPEG with an orientation of Exif 2.32, table 3 (tag 0x0112), put in after its start.
    fn turned(jpeg: &[u8], orientation: u8) -> Vec<u8> {
        let mut exif = b"Exif\0\0MM\0\x2a\0\0\0\x08\0\x01\x01\x12\0\x03\0\0\0\x01\0".to_vec();
        exif.extend([orientation, 0, 0, 0, 0, 0, 0]);
        let mut out = jpeg[..2].to_vec();
        out.extend([0xff, 0xe1]);
        out.extend(u16::try_from(exif.len() + 2).expect("short").to_be_bytes());
        out.extend(exif);
        out.extend(&jpeg[2..]);
        out
    }

    #[test]
    fn every_form_is_made_smaller_in_its_own_form() {
        for form in [Form::Jpeg, Form::Png, Form::WebP] {
            let original = if form == Form::Jpeg { halves(2000, 1000) } else { noise(1300, 650) };
            let made = smaller(&written(&original, form), form, 640).unwrap_or_else(|| panic!("{form:?}"));
            let back = image::load_from_memory(&made).expect("it decodes");
            assert_eq!((back.width(), back.height()), (640, 320), "{form:?}");
        }
    }

    /// What no encoder can make small, so that fewer pixels are surely fewer bytes.
    fn noise(width: u32, height: u32) -> DynamicImage {
        let mut state = 1_u32;
        RgbImage::from_fn(width, height, |_, _| {
            state = state.wrapping_mul(1_664_525).wrapping_add(1_013_904_223);
            Rgb([(state >> 24) as u8, (state >> 16) as u8, (state >> 8) as u8])
        })
        .into()
    }

    #[test]
    fn a_turned_picture_is_made_upright() {
        // Orientation 6: row 0 is the right-hand side, so what was left is above.
        let original = turned(&written(&halves(1600, 2000), Form::Jpeg), 6);
        let back = image::load_from_memory(&smaller(&original, Form::Jpeg, 640).expect("made")).expect("it decodes");
        assert_eq!((back.width(), back.height()), (640, 512));
        let (above, below) = (back.to_rgb8().get_pixel(320, 60).0[0], back.to_rgb8().get_pixel(320, 450).0[0]);
        assert!(above < 60 && below > 160, "{above} above, {below} below");
    }

    #[test]
    fn a_profile_stays_and_a_broken_file_makes_nothing() {
        let mut original = Vec::new();
        encoded(jpeg::JpegEncoder::new_with_quality(&mut original, 95), &halves(2000, 500), Some(vec![7; 300]))
            .expect("it encodes");
        let made = smaller(&original, Form::Jpeg, 640).expect("made");
        let profile = jpeg::JpegDecoder::new(Cursor::new(&made)).expect("read").icc_profile().expect("read");
        assert_eq!(profile, Some(vec![7; 300]));
        assert_eq!(smaller(&original[..original.len() / 3], Form::Png, 640), None);
        assert_eq!(smaller(b"no picture", Form::Jpeg, 640), None);
    }

    #[test]
    fn widths_are_those_that_save_something() {
        assert_eq!(widths(Form::Jpeg, 4000, 1 << 20).collect::<Vec<_>>(), [640, 1280]);
        assert_eq!(widths(Form::Png, 1599, 1 << 20).collect::<Vec<_>>(), [640]);
        assert_eq!(widths(Form::Png, 1600, 1 << 20).collect::<Vec<_>>(), [640, 1280]);
        assert_eq!(widths(Form::Png, 799, 1 << 20).count(), 0);
        assert_eq!(widths(Form::Svg, 4000, 1 << 10).count(), 0);
        assert_eq!(widths(Form::Jpeg, 4000, LARGEST + 1).count(), 0);
    }
}

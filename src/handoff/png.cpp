#include <png.h>

#include <memory>

#include "seamwright/handoff/picture.h"

namespace seamwright {
namespace {

[[noreturn]] void fail(png_structp, png_const_charp message) {
  throw std::runtime_error(message);
}
void ignore(png_structp, png_const_charp) {}

void append(png_structp png, png_bytep data, png_size_t count) {
  static_cast<std::string*>(png_get_io_ptr(png))
      ->append(reinterpret_cast<const char*>(data), count);
}
void flush(png_structp) {}

}  // namespace

std::string png_bytes(const Picture& picture) {
  require(picture.rgb.size() == 3 * static_cast<std::size_t>(picture.size.width) *
                                    static_cast<std::size_t>(picture.size.height),
          "a picture has three bytes a pixel");
  std::string bytes;
  png_structp png = png_create_write_struct(PNG_LIBPNG_VER_STRING, nullptr, fail, ignore);
  require(png != nullptr, "libpng's header and library agree");
  png_infop info = png_create_info_struct(png);
  const auto release = [&info](png_structp p) { png_destroy_write_struct(&p, &info); };
  const std::unique_ptr<png_struct, decltype(release)> owner(png, release);
  png_set_write_fn(png, &bytes, append, flush);
  png_set_IHDR(png, info, static_cast<png_uint_32>(picture.size.width),
               static_cast<png_uint_32>(picture.size.height), 8, PNG_COLOR_TYPE_RGB,
               PNG_INTERLACE_NONE, PNG_COMPRESSION_TYPE_BASE, PNG_FILTER_TYPE_BASE);
  png_set_filter(png, PNG_FILTER_TYPE_BASE, PNG_FILTER_SUB | PNG_FILTER_UP | PNG_FILTER_PAETH);
  png_set_compression_level(png, 6);
  png_write_info(png, info);
  for (int y = 0; y < picture.size.height; ++y) {
    png_write_row(png, picture.rgb.data() + 3 * static_cast<std::size_t>(y) *
                                                static_cast<std::size_t>(picture.size.width));
  }
  png_write_end(png, nullptr);
  return bytes;
}

}  // namespace seamwright

#include "handoff/report_text.h"

#include <fmt/format.h>

#include <cmath>

#include "seamwright/core/time_words.h"

namespace seamwright::text {

std::string escaped(std::string_view plain) {
  std::string out;
  for (const char c : plain) {
    switch (c) {
      case '&':
        out += "&amp;";
        break;
      case '<':
        out += "&lt;";
        break;
      case '>':
        out += "&gt;";
        break;
      case '"':
        out += "&quot;";
        break;
      case '\'':
        out += "&#39;";
        break;
      default:
        if (static_cast<unsigned char>(c) >= 0x20) out += c;
    }
  }
  return out;
}

std::string duration(double seconds) {
  return rough_duration(seconds);
}

std::string hours(double hours_value) {
  return hours_value >= 20 ? fmt::format("{:.0f}", hours_value)
                           : fmt::format("{:.1f}", hours_value);
}

std::string mass(double grams) {
  return grams >= 1000 ? fmt::format("{:.2f} kg", grams / 1000) : fmt::format("{:.0f} g", grams);
}

std::string size(Vec3 size_mm) {
  return fmt::format("{:.0f} × {:.0f} × {:.0f} mm", size_mm.x, size_mm.y, size_mm.z);
}

std::string length(double mm) {
  return mm >= 1000 ? fmt::format("{:.2f} m", mm / 1000) : fmt::format("{:.1f} cm", mm / 10);
}

std::string counted(std::size_t count, std::string_view one, std::string_view many) {
  return fmt::format("{} {}", count, count == 1 ? one : many);
}

std::string hex(Colour colour) {
  return fmt::format("#{:02x}{:02x}{:02x}", colour.red, colour.green, colour.blue);
}

std::string base64(std::string_view bytes) {
  static constexpr char kDigits[] =
      "ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz0123456789+/";
  std::string out;
  out.reserve((bytes.size() + 2) / 3 * 4);
  for (std::size_t i = 0; i < bytes.size(); i += 3) {
    const auto byte = [&](std::size_t k) {
      return i + k < bytes.size() ? static_cast<unsigned>(static_cast<unsigned char>(bytes[i + k]))
                                  : 0u;
    };
    const unsigned group = byte(0) << 16 | byte(1) << 8 | byte(2);
    out += kDigits[group >> 18 & 63];
    out += kDigits[group >> 12 & 63];
    out += i + 1 < bytes.size() ? kDigits[group >> 6 & 63] : '=';
    out += i + 2 < bytes.size() ? kDigits[group & 63] : '=';
  }
  return out;
}

}  // namespace seamwright::text

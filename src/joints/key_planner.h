#pragma once

#include "joints/face_context.h"

namespace seamwright::joints {

/// Chooses the keys of all joint faces one after another, in their order: each must keep its wall
/// to the keys that earlier faces put into the same pieces.
class KeyPlanner {
 public:
  explicit KeyPlanner(const JointInputs& inputs);

  /// The joint of one face; what can't be had is said in warnings().
  Joint plan(const FaceContext& context);

  std::vector<JointWarning> take_warnings() { return std::move(warnings_); }
  /// What the keys of a face fall short by, unless something else holds it; empty code: nothing.
  const JointWarning& shortfall(std::size_t joint) const { return shortfalls_.at(joint); }
  /// Each piece's pose with its pins counted: moved on the bed where they stick out, size_mm
  /// larger.
  std::vector<Pose> poses() const;

 private:
  std::optional<double> depth_at(const FaceContext& context, Vec2 at, double diameter_mm,
                                 std::optional<Side> male) const;
  bool has_room(const FaceContext& context, Side side, Vec2 at, double diameter_mm, double depth_mm,
                bool is_male) const;
  KeyLayout lay_out(const FaceContext& context, std::optional<Side> male) const;
  void take_tongue(const FaceContext& context, const Loop2& groove, double depth_mm, Side male,
                   Joint& joint);
  bool take_tongues(const FaceContext& context, Joint& joint);
  void take_magnets(const FaceContext& context, Joint& joint);
  bool keeps_from_taken(const FaceContext& context, const Loop2& outline, double depth_mm) const;
  std::optional<KeyLayout> lay_out_pins(const FaceContext& context, Side& male);
  bool fits_with(const FaceContext& context, Side male, const Box3& box) const;
  Box3 box_with_pins(const FaceContext& context, Side male, const KeyLayout& layout) const;
  void take(const FaceContext& context, const KeyLayout& layout, std::optional<Side> male,
            Joint& joint);
  void warn(std::string code, std::string message) {
    warnings_.push_back({std::move(code), std::move(message)});
  }
  std::string why_no_key(const FaceContext& context) const;
  JointWarning shortfall_of(const FaceContext& context, const KeyLayout& layout) const;

  const JointInputs& inputs_;
  std::vector<std::vector<TakenPlace>> taken_;  ///< by piece
  std::vector<Box3> bed_boxes_;                 ///< by piece, on its bed, pins counted
  std::vector<JointWarning> warnings_;
  std::vector<JointWarning> shortfalls_;       ///< by joint, as planned
  std::vector<std::vector<FlatKey>> layouts_;  ///< round keys of the faces planned before
  std::vector<std::string> layout_names_;      ///< their joints, for warnings
};

}  // namespace seamwright::joints

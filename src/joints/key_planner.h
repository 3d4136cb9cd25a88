#pragma once

#include "joints/face_context.h"
#include "joints/tongues.h"

namespace seamwright::joints {

/// Chooses the keys of all joint faces: those of printed pieces as they are, the others one after
/// another, in their order, each keeping its wall to the keys that earlier faces put into the same
/// pieces; then those that could be turned or
/// mixed up are laid out anew until none can, or nothing helps.
class KeyPlanner {
 public:
  explicit KeyPlanner(const JointInputs& inputs);

  /// The joints of all faces; what can't be had is said in warnings() and shortfall(). Fewer when
  /// stopped.
  std::vector<Joint> plan(std::span<const std::optional<FaceContext>> contexts, const Run& run);

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
  /// The round keys of one joint.
  struct Laid {
    const FaceContext* context = nullptr;
    std::optional<Side> male;
    KeyLayout layout;
    bool is_kept = false;  ///< printed already
  };
  /// The tongues of one joint, and the male piece's box on its bed with them.
  struct Tongues {
    Side male = Side::above;
    double depth_mm = 0;
    std::vector<Loop2> grooves;
    Box3 box;
  };
  /// What the keys of one joint add to a piece's box on its bed.
  struct Protrusion {
    std::size_t joint = 0, piece = 0;
    Box3 box;
  };
  /// The other joints' round keys, and whose each is.
  struct Others {
    std::vector<std::vector<FlatKey>> layouts;
    std::vector<std::size_t> joints;
  };

  Joint plan_one(const FaceContext& context);
  Others others_of(std::size_t joint, std::optional<std::size_t> but = {}) const;
  LayoutRules rules_for(const FaceContext& context, std::optional<Side> male,
                        const Others& others) const;
  KeyLayout lay_out(const FaceContext& context, std::optional<Side> male, const Others& others,
                    std::optional<int> round = {}) const;
  KeyLayout judged(std::size_t joint) const;
  KeyLayout judged_with_outline(std::size_t joint) const;
  Laid laid_anew(std::size_t joint, std::optional<std::size_t> but, int round);
  double lack_mm() const;
  bool settle_alone(std::size_t joint, int round, std::vector<Joint>& joints);
  bool settle_with(std::size_t joint, std::size_t rival, int round, std::vector<Joint>& joints);
  void settle(std::vector<Joint>& joints);
  void release(std::size_t joint);
  void put(std::size_t joint, Laid laid, std::vector<Joint>& joints);
  Box3 bed_box(std::size_t piece) const;
  void take_tongue(const FaceContext& context, const Loop2& groove, double depth_mm, Side male,
                   Joint& joint);
  std::optional<Tongues> find_tongues(const FaceContext& context, double height_mm,
                                      const TongueRules& rules) const;
  void take_tongues(const FaceContext& context, const Tongues& found, Joint& joint);
  bool take_tongues(const FaceContext& context, Joint& joint);
  bool take_fragile_tongues(const FaceContext& context, Joint& joint);
  void tell_fragile(const FaceContext& context, const Tongues& found, double lip_mm);
  std::vector<std::size_t> kept_first(std::span<const std::optional<FaceContext>> contexts) const;
  std::vector<PlacedKey> kept_keys(const FaceContext& context, KeyKind kind,
                                   std::optional<Side> male = {}) const;
  std::optional<Laid> laid_as_kept(const FaceContext& context) const;
  void take_magnets(const FaceContext& context, Joint& joint);
  std::vector<PlacedKey> magnet_places(const FaceContext& context, const Joint& joint) const;
  bool keeps_from_taken(const FaceContext& context, const Loop2& outline, double depth_mm) const;
  std::optional<KeyLayout> lay_out_pins(const FaceContext& context, Side& male);
  bool fits_with(const FaceContext& context, Side male, const Box3& box) const;
  Box3 box_with_pins(const FaceContext& context, Side male, const KeyLayout& layout) const;
  void take(std::size_t index, const Laid& laid, Joint& joint);
  void warn(std::string code, std::string message) {
    warnings_.push_back({std::move(code), std::move(message)});
  }
  std::string why_no_key(const FaceContext& context) const;
  JointWarning shortfall_of(std::size_t joint) const;

  const JointInputs& inputs_;
  std::vector<std::vector<TakenPlace>> taken_;  ///< by piece
  std::vector<Box3> bare_boxes_;                ///< by piece, on its bed
  std::vector<Protrusion> protrusions_;
  std::vector<JointWarning> warnings_;
  std::vector<JointWarning> shortfalls_;  ///< by joint
  std::vector<Laid> laid_;                ///< by joint; without a context where not in round keys
  std::size_t joint_ = 0;                 ///< the one that is being laid out
};

}  // namespace seamwright::joints

using TestRig.Core.Boards;

namespace TestRig.Bench.Simulation;

/// <summary>The pins of a part that a stage of a channel uses.</summary>
internal static class StagePins
{
    /// <summary>"U3 2>18" begins at U3.2, the base of Q1 is Q1.B, the driven end of the coil of K1 is K1.A2.</summary>
    public static string InputName(Stage stage) => stage.Part switch
    {
        DriverPart { DriverType.Sections.IsEmpty: true } => $"{stage.Part.Name}.B",
        RelayPart => $"{stage.Part.Name}.A2",
        _ => $"{stage.Part.Name}.{stage.Name[(stage.Part.Name.Length + 1)..stage.Name.IndexOf('>', StringComparison.Ordinal)]}",
    };

    /// <summary>Null for a part that is no logic package.</summary>
    public static BufferSection? SectionOf(Stage stage) =>
        stage.Part is BufferPart part ? part.BufferType.Sections.First(known => stage.Name == $"{part.Name} {known.Input}>{known.Output}") : null;
}

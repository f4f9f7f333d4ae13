namespace TestRig.Core.Boards;

/// <summary>What is known of a kind of part from its data sheet. The data are in profiles/parts.</summary>
/// <param name="Source">The published source of its figures.</param>
public abstract record PartType(string Name, string Description, string Source);

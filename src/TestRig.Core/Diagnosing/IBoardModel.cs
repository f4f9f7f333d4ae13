using System.Collections.Immutable;
using TestRig.Core.Diagnosing.Reasoning;

namespace TestRig.Core.Diagnosing;

/// <summary>A board as a reasoner sees it: each experiment is one sight of a sweep.</summary>
public interface IBoardModel : IFaultModel<BoardFault>
{
    Sight SightOf(int experiment);

    /// <summary>What was seen, as outcomes of experiments; what does not tell is left out.</summary>
    Outcomes OutcomesOf(IEnumerable<Seen> seen);

    /// <summary>The same after a person has done something to the bench, for a sweep of some channels alone; null where the model knows nothing of that.</summary>
    IBoardModel? After(SettlingStep taken, ImmutableArray<string> channels) => null;
}

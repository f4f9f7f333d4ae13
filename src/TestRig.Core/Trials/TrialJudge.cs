using System.Collections.Immutable;
using TestRig.Core.Boards;

namespace TestRig.Core.Trials;

/// <summary>Judges parts by the type that they are said to be: when they are measured, and years later.</summary>
public sealed class TrialJudge
{
    private readonly ImmutableArray<IsolatorType> _others;

    /// <param name="board">With a socket.</param>
    /// <param name="claimed">What the parts are said to be; goes into the socket as it is wired.</param>
    /// <param name="library">Other types, of which those with the same pins may be what a part really is.</param>
    /// <exception cref="ArgumentException">The board is no socket, or no isolator of that type goes into it.</exception>
    public TrialJudge(Board board, IsolatorType claimed, IEnumerable<IsolatorType> library)
    {
        if (board.Socket is not { } socket || !socket.Takes(claimed))
            throw new ArgumentException($"{board.Name} is no socket for a {claimed.Name}", nameof(board));
        Board = socket.With(board, claimed);
        Claimed = claimed;
        _others = [.. library.Where(type => type.Name != claimed.Name && socket.Takes(type))];
    }

    /// <summary>The board with the claimed type in its socket.</summary>
    public Board Board { get; }

    public Socket Socket => Board.Socket!;

    public IsolatorType Claimed { get; }

    /// <param name="number">Of the part in its batch, from 1.</param>
    public PartTrial Judge(int number, PartMeasurement measured) => PartTrial.Of(number, Socket, Claimed, _others, measured.Figures, measured.Delays);
}
